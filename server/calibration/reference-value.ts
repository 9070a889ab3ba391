import type { Reference, ReferenceWanted } from '../wire.ts'
import { atDraw, lostInTime } from './draw-time.ts'
import { type Measured, relativeU } from './measured.ts'
import {
  dpd,
  F_UNMEASURED,
  indigo,
  indigoByWeight,
  type ReferenceValue,
  ultraviolet,
} from './reference-sample.ts'

/** A reference value as asked for, with the formula it came from and what decay took between draw and measurement. */
export const referenceValue = (wanted: ReferenceWanted): Reference => {
  const { found, formula } = byMethod(wanted)
  const { delay_min: delay, half_life_min: halfLife } = wanted
  const lost = delay && halfLife ? lostInTime(delay, halfLife) : undefined
  const drawn = (value: ReferenceValue) => (lost ? atDraw(value, lost) : value)
  const then = drawn(found)
  return {
    mg_l: then.value,
    u_mg_l: then.u,
    u_own_mg_l: drawn(byMethod(withoutShared(wanted)).found).u,
    shared_percent: 100 * sharedOf(wanted),
    kind: found.kind,
    notes: found.notes.map((note) => NOTE_WORDS[note]),
    formula,
    lost_percent: lost ? lost.value * 100 : null,
  }
}

/** Where a reference value came from: method, dye lot, formula with what went in, and what decay took before it was measured. */
export const sampleWords = (sample: ReferenceWanted): string => {
  const { mg_l, u_mg_l, formula, lost_percent } = referenceValue(sample)
  return [
    METHOD_WORDS[sample.method],
    ...(sample.method === 'indigo' && sample.dye_lot !== undefined ? [`dye lot ${sample.dye_lot}`] : []),
    `${formula} = ${mg_l.toFixed(2)} ± ${u_mg_l.toFixed(2)} mg/L`,
    ...(lost_percent === null ? [] : [`${lost_percent.toFixed(1)} % lost since the draw added back`]),
  ].join(', ')
}

const METHOD_WORDS: Readonly<Record<ReferenceWanted['method'], string>> = {
  indigo: 'indigo',
  dpd: 'DPD',
  uv: 'UV',
}

/** What f or ε may be off: the same way in every sample that uses it. */
const sharedOf = (wanted: ReferenceWanted): number => {
  switch (wanted.method) {
    case 'indigo':
      return relativeU(wanted.f ?? F_UNMEASURED)
    case 'dpd':
      return 0
    case 'uv':
      return relativeU(wanted.epsilon)
    default:
      return wanted satisfies never
  }
}

const withoutShared = (wanted: ReferenceWanted): ReferenceWanted => {
  switch (wanted.method) {
    case 'indigo':
      return { ...wanted, f: { value: (wanted.f ?? F_UNMEASURED).value, u: 0 } }
    case 'dpd':
      return wanted
    case 'uv':
      return { ...wanted, epsilon: { value: wanted.epsilon.value, u: 0 } }
    default:
      return wanted satisfies never
  }
}

const byMethod = (wanted: ReferenceWanted): { found: ReferenceValue; formula: string } => {
  switch (wanted.method) {
    case 'indigo':
      return byIndigo(wanted)
    case 'dpd':
      return {
        found: dpd({ chlorine: wanted.chlorine, dilution: wanted.dilution, inChloride: wanted.in_chloride }),
        formula: `0.6769 · ${words(wanted.chlorine)} mg/L as Cl₂ · dilution ${words(wanted.dilution)}`,
      }
    case 'uv':
      return {
        found: ultraviolet({
          absorbance: wanted.absorbance,
          pathCm: wanted.path_cm,
          epsilon: wanted.epsilon,
        }),
        formula: `47 998 · ${words(wanted.absorbance)} / (ε ${words(wanted.epsilon)} · ${words(wanted.path_cm)} cm)`,
      }
    default:
      return wanted satisfies never
  }
}

const byIndigo = (wanted: Extract<ReferenceWanted, { method: 'indigo' }>) => {
  const { blank, sample, path_cm: pathCm, sample_ml: sampleMl, total_ml: totalMl, f = F_UNMEASURED } = wanted
  const common = { blank, sample, pathCm, sampleMl, f }
  const below = `(f ${words(f)} · ${words(pathCm)} cm · ${words(sampleMl)} mL)`
  return totalMl
    ? {
        found: indigoByWeight({ ...common, totalMl }),
        formula: `(100 · ${words(blank)} − ${words(sample)} · ${words(totalMl)} mL) / ${below}`,
      }
    : { found: indigo(common), formula: `100 · (${words(blank)} − ${words(sample)}) / ${below}` }
}

const words = ({ value, u }: Measured): string => `${value} ± ${u}`

const NOTE_WORDS: Readonly<Record<ReferenceValue['notes'][number], string>> = {
  'dye-nearly-used-up':
    'less than a fifth of the dye is left: the true value is at least this; take less sample or a stronger reagent',
  'below-the-method': 'below what the method can tell (0.005 mg/L)',
  'above-the-method': 'above the linear range of the method (30 mg/L)',
  'counts-other-oxidants':
    'in a chloride solution other oxidants count with it: the true value is at most this',
  'epsilon-outside-published': 'this ε lies outside what is in print (2900 to 3300)',
  'absorbance-too-high': 'absorbance over 1: use a shorter path',
}
