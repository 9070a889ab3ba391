import { z } from 'zod'
import { referenceSample } from './reference-sample-entry.ts'
import { text } from './text.ts'

/** How a reference value was found; two of them may call the same fluid by values that differ by 14 %. */
export const REFERENCE_METHODS = ['indigo', 'dpd', 'uv', 'iodometric', 'comparison-meter', 'other'] as const

const positive = (max: number) => z.number().positive().max(max)
const number = z.number().min(-1000).max(1000)

/** One value of the reference beside what the instrument showed, both with standard uncertainty, in the channel's unit. */
export const point = z.strictObject({
  reference: number,
  u_reference: z.number().min(0).max(1000),
  shown: number,
  u_shown: z.number().min(0).max(1000),
  sample: referenceSample.optional().meta({ description: 'what the reference value was worked out from' }),
})

/** What the instrument showed against the reference; both absolute, in the channel's unit. */
const against = z.strictObject({ shown: number, reference: number })

/** What a calibration entry may also say. All optional: entries made before these fields existed stay valid as they are. */
export const calibrationDetails = {
  temperature_c: z.number().min(-5).max(100).optional(),
  stirred: z.enum(['stirred', 'bubbling', 'still']).optional(),
  compensation: z.enum(['none', 'membrane', 'membrane-and-solubility']).optional().meta({
    description: 'what the meter itself corrects for temperature',
  }),
  reference_method: z.enum(REFERENCE_METHODS).optional(),
  u_reference_percent: z.number().min(0).max(100).optional(),
  dye_lot: text(60).optional(),
  f_l_per_mg_cm: positive(2).optional().meta({ description: 'indigo: absorbance per mg/L and cm' }),
  epsilon_per_m_cm: positive(10_000)
    .optional()
    .meta({ description: 'UV: molar absorptivity, 1/(mol/L · cm)' }),
  certificate: text(120).optional(),
  limit_percent: positive(100).optional().meta({ description: 'acceptance limit, % of the reference' }),
  as_found: against.optional(),
  as_left: against.optional(),
  due_at: z.iso.datetime().optional(),
  points: z.array(point).max(20).optional().meta({ description: 'what slope and zero were computed from' }),
}

export const CHECKED_KINDS = [
  'dissolved-ozone-meter',
  'thermometer',
  'flowmeter',
  'gas-analyser',
  'barometer',
  'volume-measure',
  'room-monitor',
] as const

/** Against a limit, by the one-sided 95 % bound; `cannot-tell`: the uncertainty reaches over it. */
export const OUTCOMES = ['within', 'outside', 'cannot-tell'] as const

/** Any instrument held against a reference without changing how its readings are used, as a person enters it. */
export const checkTyped = z.strictObject({
  kind: z.enum(CHECKED_KINDS),
  instrument: text(60),
  reference: text(120).meta({ description: 'what it was held against, with its certificate' }),
  unit: text(20),
  expected: z.number(),
  u_expected: z.number().min(0).optional().meta({ description: 'standard uncertainty of the reference' }),
  found: z.number(),
  u_found: z.number().min(0).optional(),
  left: z.number().optional().meta({ description: 'as left, where it was adjusted' }),
  bench: text(40).optional().meta({ description: 'the bench it serves; absent: all of them' }),
  limit: z.number().positive().meta({ description: 'greatest difference that passes, in the unit' }),
  due_at: z.iso.datetime().optional(),
})

/** The server says whether it passed: by the bound that the uncertainties leave, not by the bare difference. */
export const instrumentCheck = checkTyped.extend({
  outcome: z.enum(OUTCOMES),
  outcome_left: z.enum(OUTCOMES).optional(),
})

/** The response time of a probe that was moved from one fluid into another, from stored readings. Dated to the end of the test. */
export const stepTestDone = z.strictObject({
  instrument: text(60),
  channel: text(40),
  from: z.iso.datetime(),
  to: z.iso.datetime(),
  moved_from: text(60).optional(),
  moved_to: text(60).optional(),
  tau_s: z.number().positive().max(600),
  u_tau_s: z.number().min(0).max(300),
  area_tau_s: z.number().meta({ description: 'the same from the area, as a check' }),
  began_s: z.number().min(0),
  readings: z.number().int().positive(),
})
