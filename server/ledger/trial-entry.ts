import { z } from 'zod'
import { text } from './text.ts'

/** What entries say of trials: the plan, fixed before the first batch, and which batches belong to it. */

const FLUIDS = ['saline', 'distilled', 'filtered', 'other'] as const
const percent = (low: number, high: number) => z.number().min(low).max(high)

/** How far a batch may lie from the plan and still be pooled. */
const limits = z
  .strictObject({
    gas_percent: percent(0.5, 50),
    flow_percent: percent(0.5, 50),
    volume_percent: percent(0.5, 50),
    temperature_low_c: z.number().min(0).max(40),
    temperature_high_c: z.number().min(0).max(40),
  })
  .refine((l) => l.temperature_low_c < l.temperature_high_c, {
    path: ['temperature_high_c'],
    message: 'needs to be over temperature_low_c',
  })

interface Settings {
  readonly volume_ml: z.ZodNumber
  readonly flow_ml_per_min: z.ZodNumber
  readonly target_mg_l: z.ZodNumber
  readonly prep_min: z.ZodNumber
}

interface Ways<G extends z.ZodType, P extends z.ZodType, M extends z.ZodType> {
  readonly gas: G
  readonly purge: P
  readonly place: M
}

const commonOf = <G extends z.ZodType, P extends z.ZodType, M extends z.ZodType>(
  { volume_ml, flow_ml_per_min }: Settings,
  { gas, place }: Ways<G, P, M>,
) => ({
  title: text(80),
  volume_ml,
  gas,
  flow_ml_per_min,
  measuring_place: place.optional().meta({ description: 'of every batch; left out: any, with a warning' }),
  limits,
  confidence_percent: percent(80, 99.9).default(95),
  batches: z.number().int().min(3).max(200).default(5).meta({
    description: 'wanted: in all for a prep time, of each group for a comparison',
  }),
  days: z.number().int().min(1).max(60).default(3).meta({ description: 'at least, on which they are made' }),
  seed: text(40).meta({ description: 'of the run order, which anybody can work out from it' }),
})

/** How long this kit needs: one fluid, volume and generator setting. */
const prepTimeOf = <G extends z.ZodType, P extends z.ZodType, M extends z.ZodType>(
  settings: Settings,
  ways: Ways<G, P, M>,
) =>
  z.strictObject({
    kind: z.literal('prep-time'),
    ...commonOf(settings, ways),
    fluid: z.enum(FLUIDS),
    fluid_detail: text(80).optional(),
    benches: z.array(text(40)).min(1).max(20),
    purge: ways.purge,
    criterion: z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('fraction'), percent: percent(50, 99) }),
      z.strictObject({ kind: z.literal('target') }),
    ]),
    coverage_percent: percent(50, 99.9)
      .default(90)
      .meta({ description: 'part of all batches to be covered' }),
    target_mg_l: settings.target_mg_l,
    prep_min: settings.prep_min.meta({ description: 'the prep time to be proven, ozone-on to ozone-off' }),
  })

const group = z.strictObject({
  name: text(40),
  fluid: z.enum(FLUIDS),
  fluid_detail: text(80).optional(),
  lot: text(60).optional().meta({ description: 'left out: any lot of the fluid' }),
})

/** Which fluid, or which lot, holds more and lasts longer. */
const comparisonOf = <G extends z.ZodType, P extends z.ZodType, M extends z.ZodType>(
  settings: Settings,
  ways: Ways<G, P, M>,
) =>
  z.strictObject({
    kind: z.literal('fluid-comparison'),
    ...commonOf(settings, ways),
    groups: z
      .array(group)
      .min(2)
      .max(6)
      .refine((groups) => new Set(groups.map((g) => g.name)).size === groups.length, 'needs each name once'),
    benches: z
      .array(text(40))
      .min(1)
      .max(20)
      .optional()
      .meta({ description: 'each makes whole blocks of the run order; left out: any' }),
    purge: ways.purge.optional().meta({ description: 'of every batch; left out: any, with a warning' }),
    prep_min: settings.prep_min.optional().meta({ description: 'ozone-on to ozone-off of every batch' }),
    temperature_c: z.number().min(0).max(40).meta({ description: 'plateaus are compared at this, °C' }),
    margin_percent: percent(1, 100).meta({
      description: 'a ratio within 1/(1 + margin) and 1 + margin does not matter in use',
    }),
  })

export const trialPlanOf = <G extends z.ZodType, P extends z.ZodType, M extends z.ZodType>(
  settings: Settings,
  ways: Ways<G, P, M>,
) => z.discriminatedUnion('kind', [prepTimeOf(settings, ways), comparisonOf(settings, ways)])

export const trialId = z.uuid().toLowerCase()

export const trialBatch = z.strictObject({ trial: trialId, batch: z.uuid().toLowerCase() })

/** What the trial came to when it was closed; later entries do not change it. */
export const trialClosed = z.strictObject({
  trial: trialId,
  answer: z.enum(['shown', 'not-shown', 'cannot-tell']),
  sentence: text(4000),
})
