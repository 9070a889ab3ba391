import { describe, expect, it } from 'vitest'
import { foldBatch, gasState } from '../../../server/ledger/batch.ts'
import type { Entry } from '../../../server/ledger/entry.ts'
import type { NewEntry } from '../../../server/ledger/ledger.ts'
import { whyNotPossible } from '../../../server/ledger/possible.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const folded = (...entries: NewEntry[]) => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, OPENED))
  for (const entry of entries) ledger.append(entry)
  const batch = foldBatch([...ledger.all()])
  if (!batch) throw new Error('no batch')
  return batch
}
const draw = (minute: number, ml: number) => newEntry('drawn-up', minute, { ml, left_ml: 0, at_draw: null })

describe('a batch', () => {
  it('does not exist without an opening', () => {
    expect(foldBatch([])).toBeUndefined()
  })

  it('goes through set-up, bubbling, purge, standing and discarded', () => {
    const steps = [
      newEntry('ozone-on', 1, {}),
      newEntry('ozone-off', 8, {}),
      newEntry('flow-off', 9, {}),
      newEntry('discarded', 40, {}),
    ]
    const states = [0, 1, 2, 3, 4].map((n) => gasState(folded(...steps.slice(0, n))))
    expect(states.map((s) => s.kind)).toEqual(['set-up', 'bubbling', 'purge', 'standing', 'discarded'])
    expect(states[3]?.since).toBe(atMinute(9))
  })

  it('stands when ozone and flow went off at the same moment', () => {
    expect(
      gasState(folded(newEntry('ozone-on', 1, {}), newEntry('ozone-off', 8, {}), newEntry('flow-off', 8, {})))
        .kind,
    ).toBe('standing')
  })

  it('orders what was entered late by when it happened', () => {
    const batch = folded(
      newEntry('ozone-off', 8, {}),
      newEntry('ozone-on', 1, {}, { entered_at: atMinute(9) }),
    )
    expect(gasState(batch).kind).toBe('purge')
  })

  it('counts down what is left with each draw-up', () => {
    expect(folded(draw(10, 20), draw(20, 20)).leftMl).toBe(210)
  })

  it('leaves out what was taken back, and keeps it in the entries', () => {
    const on = newEntry('ozone-on', 1, {})
    const batch = folded(on, newEntry('undone', 1, { entry: on.id }))
    expect(gasState(batch).kind).toBe('set-up')
    expect(batch.entries.map((e: Entry) => e.kind)).toEqual(['batch-opened', 'ozone-on', 'undone'])
  })

  it('applies a correction to the opening and keeps the old value in the entry', () => {
    const { ledger } = temporaryLedger()
    const opened = ledger.append(newEntry('batch-opened', 0, OPENED)).entry
    ledger.append(newEntry('correction', 5, { entry: opened.id, field: 'lot', old: 'L1', new: 'L2' }))
    expect(foldBatch([...ledger.all()])?.settings).toMatchObject({ lot: 'L2', volume_ml: 250 })
    expect(opened.data).toMatchObject({ lot: 'L1' })
  })
})

describe('what is possible', () => {
  const standing = [newEntry('ozone-on', 1, {}), newEntry('ozone-off', 8, {}), newEntry('flow-off', 9, {})]
  it.each([
    ['ozone off before ozone on', [], { kind: 'ozone-off' }, /ozone is not on/],
    ['ozone on twice', standing.slice(0, 1), { kind: 'ozone-on' }, /on already/],
    ['flow off while ozone is on', standing.slice(0, 1), { kind: 'flow-off' }, /ozone is still on/],
    ['discard while ozone is on', standing.slice(0, 1), { kind: 'discarded' }, /ozone is still on/],
    ['bubbling the same fill again', standing, { kind: 'ozone-on' }, /not allowed/],
    [
      'drawing more than is left',
      [...standing, draw(10, 240)],
      { kind: 'drawn-up', data: { ml: 20 } },
      /only 10 mL are left/,
    ],
    [
      'anything after discard',
      [...standing, newEntry('discarded', 30, {})],
      { kind: 'flow-off' },
      /was discarded/,
    ],
  ] as const)('%s is refused in words', (_, entries, action, why) => {
    expect(whyNotPossible(action, folded(...entries))).toMatch(why)
  })

  it('is a note at any time, and the next step of the job', () => {
    expect(
      whyNotPossible(
        { kind: 'note', data: { text: 'late' } },
        folded(...standing, newEntry('discarded', 30, {})),
      ),
    ).toBeUndefined()
    expect(whyNotPossible({ kind: 'drawn-up', data: { ml: 20 } }, folded(...standing))).toBeUndefined()
  })
})
