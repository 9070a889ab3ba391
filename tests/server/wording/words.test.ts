import { describe, expect, it } from 'vitest'
import { reasonSchema } from '../../../server/analysis/quantity-schema.ts'
import type { Decision, Phase } from '../../../server/wire.ts'
import { reason, withReasons } from '../../../server/wording/reasons.ts'
import { decisionWords, forecastBelow } from '../../../server/wording/words.ts'
import { notLiveWords } from '../../../web/words/not-live-words.ts'

const at = (kind: Phase['kind'], decision: Decision) => ({ phase: { kind, since: null }, decision })

describe('reasons', () => {
  it('has words of its own for every code of the closed list', () => {
    for (const code of reasonSchema.options) {
      expect(reason(code), code).toMatch(/ /)
      expect(reason(code), code).not.toBe(code.replaceAll('-', ' '))
    }
  })

  it('lets a sentence pass as it is', () => {
    expect(reason('the meter has stopped sending')).toBe('the meter has stopped sending')
  })

  it('turns the code inside a sentence into words and leaves other brackets alone', () => {
    expect(withReasons('cannot tell against physics (plateau not reached)')).toBe(
      'cannot tell against physics (not levelled off yet)',
    )
    expect(withReasons('the rule of thumb (common practice), 20 to 35')).toBe(
      'the rule of thumb (common practice), 20 to 35',
    )
  })
})

describe('above and below', () => {
  it('says below plainly only while standing and only by the decision rule', () => {
    expect(decisionWords(at('standing', 'below'))).toBe('Below the value you set')
    expect(decisionWords(at('bubbling', 'below'))).toBe('Not yet at the value you set')
    expect(decisionWords(at('purge', 'below'))).toBe('Not at the value you set')
  })

  it('never says below by itself when it is too close to say', () => {
    for (const kind of ['standing', 'bubbling', 'purge'] as const)
      for (const words of [
        decisionWords(at(kind, 'too-close-to-say')),
        forecastBelow(at(kind, 'too-close-to-say')),
      ])
        expect(words, kind).toMatch(/^(Too close|The best estimate)/)
    expect(forecastBelow(at('standing', 'too-close-to-say'))).toBe(
      'The best estimate is below the value you set',
    )
  })
})

describe('a bench without a meter', () => {
  it('is never told to look at a meter or its cable', () => {
    for (const why of ['not-connected', 'stale', 'no-reading'] as const) {
      expect(notLiveWords(why, false).todo, why).not.toMatch(/meter|cable/i)
      expect(notLiveWords(why, true).todo, why).toMatch(/meter/i)
    }
    expect(notLiveWords('stale', false).todo).toContain('Take another reading')
  })
})
