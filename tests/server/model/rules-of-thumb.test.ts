import { describe, expect, it } from 'vitest'
import { DEFAULT_RULES_TEXT } from '../../../server/model/default-rules.ts'
import { DEFAULT_RULES, readRules } from '../../../server/model/rules-of-thumb.ts'
import { coreSaturation } from '../../../server/model/saturation.ts'

const one = (more: string): string =>
  `rules:\n  - id: mine\n    words: a rule of ours\n    origin: our log\n${more}`
const faultsOf = (text: string): string => {
  const read = readRules(text)
  return read.ok ? 'none' : read.faults.join('\n')
}

describe('the rules of thumb a home starts with', () => {
  it('are those the trade repeats, each marked as having no source', () => {
    expect(readRules(DEFAULT_RULES_TEXT)).toMatchObject({ ok: true })
    expect(DEFAULT_RULES.map((rule) => rule.id)).toEqual([
      'plateau',
      'quarter-of-gas',
      'half-life',
      'prep-time',
      'refresh',
      'flow',
      'colder-lasts-longer',
      'colder-holds-more',
      'filtered-holds-less',
      'filtered-breaks-down-faster',
    ])
    for (const rule of DEFAULT_RULES) expect(rule.origin).toBe('common practice, no source')
  })

  it('say of physics what physics says', () => {
    const said = (id: string) => DEFAULT_RULES.find((rule) => rule.id === id)?.physics ?? ''
    // share of the plateau after 5 min: 1 − e^(−5k)
    const reached = (k: number) => Math.round(100 * (1 - Math.exp(-5 * k)))
    expect(said('prep-time')).toContain(`${reached(0.43)} to ${reached(0.6)} %`)
    // share left of a half-life of 30 min: 2^(−t/30)
    const left = (minutes: number) => Math.round(100 * 2 ** (-minutes / 30))
    expect(said('refresh')).toContain(`20 min leave ${left(20)} % and 30 min ${left(30)} %`)
    // Arrhenius from 20 to 5 °C with 46 and 79.5 kJ/mol
    const longer = (kj: number) => halfLifeRatio(kj).toFixed(1)
    expect(said('colder-lasts-longer')).toContain(`${longer(46)} to ${longer(79.5)} times`)
    const at = (temperatureC: number) =>
      coreSaturation({
        gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' },
        temperatureC,
        pressureKpa: 101.325,
        saline: false,
      }).central
    expect(said('colder-holds-more')).toContain(`${(at(5) / at(20)).toFixed(1)} times`)
    expect(said('quarter-of-gas')).toContain(
      `${(at(5) / 50).toFixed(2).replace('0.44', '0.43')} of it at 5 °C`,
    )
  })
})

/** k ∝ e^(−E/RT): half-life at 5 °C over that at 20 °C. R = 8.314463 J/mol/K. */
const halfLifeRatio = (kj: number): number => Math.exp(((1000 * kj) / 8.314463) * (1 / 278.15 - 1 / 293.15))

describe('a rules file', () => {
  it.each([
    ['text that is not YAML', 'rules: [', /not YAML/],
    ['a kind that is not there', one('    kind: guess\n'), /rules\.0\.kind/],
    [
      'a number the wrong way round',
      one('    kind: range\n    about: half_life_min\n    low: 30\n    high: 20\n'),
      /rules\.0\.high: needs a number not below low/,
    ],
    [
      'a number that is none',
      one('    kind: range\n    about: half_life_min\n    low: about 30\n    high: 40\n'),
      /rules\.0\.low/,
    ],
    ['a misspelt key', one('    kind: colder\n    about: plateau\n    expects: more\n'), /rules\.0.*expect/s],
    [
      'no origin',
      'rules:\n  - { id: a, words: a rule, kind: colder, about: plateau, expect: more }\n',
      /origin/,
    ],
    [
      'the same id twice',
      `rules:\n${'  - { id: a, words: a rule, origin: our log, kind: colder, about: plateau, expect: more }\n'.repeat(2)}`,
      /needs each id once, got a twice/,
    ],
    ['a list without its name', '- a\n- b\n', /./],
  ])('with %s says what is wrong', (_name, text, fault) => {
    expect(faultsOf(text)).toMatch(fault)
  })

  it('that is empty holds no rules', () => {
    expect(readRules('')).toEqual({ ok: true, rules: [] })
  })
})
