import { z } from 'zod'
import { time, value } from './basics-schema.ts'

/** What a trial comes to. Units are in the names; null means "no value". */

/** What batches came to together: geometric mean with its 95 % interval, and where the spread lies. */
export const trialSpread = z.object({
  batches: z.number(),
  mean: z.number(),
  low: z.number(),
  high: z.number(),
  between_percent: z.number().meta({ description: 'standard deviation from batch to batch (REML)' }),
  within_percent: z.number().meta({ description: 'typical standard error of one batch' }),
  i2_percent: z.number().meta({ description: 'part of the variance that lies between batches' }),
  q: z.number(),
  q_p: z.number(),
})

export const trialBound = z.object({
  side: z.enum(['upper', 'lower']),
  value: z.number(),
  with_calibration: z
    .number()
    .nullable()
    .meta({ description: 'the same with the calibration’s own uncertainty, common to all batches, in it' }),
  k: z.number(),
  batches: z.number(),
  spread_percent: z.number(),
})

const criterion = z.object({
  name: z.enum(['time', 'at-ozone-off', 'after-purge']),
  met: z.boolean().nullable().meta({ description: 'null: cannot be told' }),
  text: z.string(),
})

const measure = z.object({ spread: trialSpread.nullable(), bound: trialBound.nullable() })

export const prepTimeResult = z.object({
  kind: z.literal('prep-time'),
  minutes: measure,
  potency_off_mg_l: measure,
  potency_after_mg_l: measure,
  criteria: z.array(criterion),
  recommended_min: value.meta({ description: 'the upper bound, rounded up to half a minute' }),
  recommended_text: z.string().nullable(),
  costs: z
    .array(z.object({ confidence_percent: z.number(), batches: z.number(), minutes: z.number() }))
    .meta({ description: 'the bound with the spread seen, for other confidences and numbers of batches' }),
  beside: z
    .array(z.object({ what: z.string(), text: z.string() }))
    .meta({ description: 'rule of thumb and physics; they decide nothing' }),
  revalidate: z.array(z.string()),
  revalidate_now: z.array(z.string()).meta({
    description: 'what of that is there already: by the control charts, the calibrations and the calendar',
  }),
})

const group = z.object({
  name: z.string(),
  batches: z.number(),
  days: z.number(),
  lots: z.array(z.string()),
  benches: z.array(z.string()),
  temperature_low_c: value,
  temperature_high_c: value,
  plateau_mg_l: trialSpread.nullable().meta({ description: 'brought to the plan’s gas and temperature' }),
  half_life_20c_min: trialSpread.nullable(),
})

const pair = z.object({
  measure: z.enum(['plateau', 'half-life']),
  first: z.string(),
  second: z.string(),
  answer: z.enum(['more', 'less', 'equivalent', 'not-shown', 'cannot-tell']),
  ratio: value.meta({ description: 'first over second' }),
  low: value,
  high: value,
  p: value.meta({ description: 'two-sided Welch test on the logarithms, Holm’s correction over all pairs' }),
  equivalence_p: value,
  within_margin: z.boolean(),
  sentence: z.string(),
  warnings: z.array(z.string()),
  reasons: z.array(z.string()).meta({ description: 'why it cannot be told; empty when it can' }),
})

export const comparisonResult = z.object({
  kind: z.literal('fluid-comparison'),
  groups: z.array(group),
  pairs: z.array(pair),
  batches_needed: value.meta({
    description: 'of each group, to find the margin 8 times in 10 with the spread seen',
  }),
})

const chart = z.object({
  name: z.string(),
  unit: z.string(),
  points: z.array(z.object({ batch: z.string(), number: z.string(), at: time, value: z.number() })),
  centre: z.number(),
  low: z.number(),
  high: z.number(),
  range_high: z.number(),
  outside: z.array(z.string()).meta({ description: 'numbers of batches outside the limits' }),
  drift_from: z
    .string()
    .nullable()
    .meta({ description: 'first batch of eight or more at the end that lie on one side of the centre' }),
})

export const trialAnswer = z.enum(['shown', 'not-shown', 'cannot-tell'])

export const trialResult = z.object({
  answer: trialAnswer,
  sentence: z.string(),
  pooled: z.number(),
  days: z.number(),
  cautions: z.array(z.string()),
  detail: z.discriminatedUnion('kind', [prepTimeResult, comparisonResult]),
  charts: z.array(chart),
})
