import type { ReferenceWanted } from '../../server/wire.ts'
import { numberTyped, refused, type Typed, textTyped, withoutNull } from './typed.ts'

/** Numbers with an uncertainty of their own, and how each is called. */
export const MEASURED = {
  blank: 'the absorbance of the blank',
  sample: 'the absorbance of the sample',
  path: 'the path',
  ml: 'the sample volume',
  total: 'the volume of reagent and sample',
  f: 'f',
  chlorine: 'the value the photometer shows',
  dilution: 'the dilution',
  absorbance: 'the absorbance',
  epsilon: 'ε',
  delay: 'the time from draw to measurement',
  half_life: 'the half-life',
} as const

export type MeasuredKey = keyof typeof MEASURED
type Key = MeasuredKey | `u_${MeasuredKey}` | 'method' | 'dye_lot' | 'in_chloride'

/** A reference sample as typed, all text. */
export type SampleText = Readonly<Record<Key, string>>

export const EMPTY_SAMPLE: SampleText = {
  ...(Object.fromEntries(
    Object.keys(MEASURED).flatMap((key) => [
      [key, ''],
      [`u_${key}`, ''],
    ]),
  ) as Record<MeasuredKey | `u_${MeasuredKey}`, string>),
  method: '',
  dye_lot: '',
  in_chloride: '',
}

interface Measured {
  readonly value: number
  readonly u: number
}

/** What the server works a value out from, or the first thing that is still needed. An uncertainty is never assumed. */
export const sampleTyped = (text: SampleText): Typed<ReferenceWanted> => {
  const { needed, optional, wrong } = takenFrom(text)
  const drawn = optional('delay', 'half_life')
  if ((drawn['delay'] === undefined) !== (drawn['half_life'] === undefined))
    return refused('Type both the time from draw to measurement and the half-life, or neither.')
  const rest = withoutNull({ delay_min: drawn['delay'] ?? null, half_life_min: drawn['half_life'] ?? null })
  const sample = bodyOf(text, needed, optional)
  const fault = wrong()
  if (fault !== undefined) return refused(fault)
  if (typeof sample === 'string') return refused(sample)
  return { kind: 'data', data: { ...sample, ...rest } as ReferenceWanted }
}

type Needed = (key: MeasuredKey) => Measured
type Optional = (...keys: MeasuredKey[]) => Record<string, Measured | undefined>

const bodyOf = (text: SampleText, needed: Needed, optional: Optional): object | string => {
  switch (text.method) {
    case 'indigo': {
      const { f, total } = optional('f', 'total')
      return {
        method: 'indigo',
        blank: needed('blank'),
        sample: needed('sample'),
        path_cm: needed('path'),
        sample_ml: needed('ml'),
        ...withoutNull({ f: f ?? null, total_ml: total ?? null, dye_lot: textTyped(text.dye_lot) }),
      }
    }
    case 'dpd':
      if (text.in_chloride === '') return 'Choose whether the fluid holds chloride.'
      return {
        method: 'dpd',
        chlorine: needed('chlorine'),
        dilution: needed('dilution'),
        in_chloride: text.in_chloride === 'yes',
      }
    case 'uv':
      return {
        method: 'uv',
        absorbance: needed('absorbance'),
        path_cm: needed('path'),
        epsilon: needed('epsilon'),
      }
    default:
      return 'Choose the method.'
  }
}

/** May be zero; everything else is divided by. */
const MAY_BE_ZERO: readonly MeasuredKey[] = ['sample', 'chlorine', 'absorbance', 'delay']

/** Reads pairs and remembers the first that is wrong. */
const takenFrom = (text: SampleText) => {
  let first: string | undefined
  const needed: Needed = (key) => {
    const value = numberTyped(text[key])
    const u = numberTyped(text[`u_${key}`])
    const isRight = value !== null && (value > 0 || (value === 0 && MAY_BE_ZERO.includes(key)))
    if (!isRight)
      first ??= `Type ${MEASURED[key]}, a number ${MAY_BE_ZERO.includes(key) ? 'not below' : 'above'} 0.`
    else if (u === null || u < 0)
      first ??= `Type the uncertainty of ${MEASURED[key]}; 0 where it does not matter.`
    return { value: value ?? 0, u: u ?? 0 }
  }
  const isEmpty = (key: MeasuredKey) => text[key].trim() === '' && text[`u_${key}`].trim() === ''
  const optional: Optional = (...keys) =>
    Object.fromEntries(keys.map((key) => [key, isEmpty(key) ? undefined : needed(key)]))
  return { needed, optional, wrong: () => first }
}
