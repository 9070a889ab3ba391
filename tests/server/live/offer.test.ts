import { describe, expect, it } from 'vitest'
import type { AnalysedPhase } from '../../../server/analysis/schema.ts'
import { offerOf } from '../../../server/live/offer.ts'
import { atMinute } from '../../support/entries.ts'

const phase = (
  kind: AnalysedPhase['kind'],
  minute: number,
  found_by: AnalysedPhase['found_by'] = 'signal',
): AnalysedPhase =>
  ({
    kind,
    start: atMinute(minute),
    end: atMinute(30),
    status: 'fitted',
    found_by,
    notes: [],
  }) as AnalysedPhase
const NOW_MS = Date.parse(atMinute(30))
const BUBBLING = { kind: 'bubbling', since: atMinute(2) } as const

describe('a change that nobody entered', () => {
  it('is offered as what comes next: on, off, flow off', () => {
    expect(offerOf([phase('rise', 3)], { kind: 'set-up', since: null }, NOW_MS)).toEqual({
      kind: 'ozone-on',
      at: atMinute(3),
    })
    const later = [phase('rise', 2, 'entry'), phase('purge', 10), phase('decay', 11)]
    expect(offerOf(later, BUBBLING, NOW_MS)).toEqual({ kind: 'ozone-off', at: atMinute(10) })
    expect(offerOf(later, { kind: 'purge', since: atMinute(10) }, NOW_MS)).toEqual({
      kind: 'flow-off',
      at: atMinute(11),
    })
  })

  it('is ozone off too when the fluid stands at once', () => {
    expect(offerOf([phase('rise', 2, 'entry'), phase('decay', 9)], BUBBLING, NOW_MS)).toEqual({
      kind: 'ozone-off',
      at: atMinute(9),
    })
  })

  it('is not offered where somebody entered it, before the present state, or within twenty seconds', () => {
    expect(offerOf([phase('decay', 9, 'entry')], BUBBLING, NOW_MS)).toBeNull()
    expect(offerOf([phase('decay', 1)], BUBBLING, NOW_MS)).toBeNull()
    expect(offerOf([phase('decay', 29.7)], BUBBLING, NOW_MS)).toBeNull()
    expect(offerOf([phase('decay', 29.6)], BUBBLING, NOW_MS)).not.toBeNull()
  })

  it('is none without a batch, while it stands and after discard', () => {
    for (const kind of ['no-batch', 'standing', 'discarded'] as const)
      expect(offerOf([phase('rise', 20)], { kind, since: atMinute(12) }, NOW_MS)).toBeNull()
  })
})
