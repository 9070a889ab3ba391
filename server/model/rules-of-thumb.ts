import { parse } from 'yaml'
import { z } from 'zod'
import { DEFAULT_RULES_TEXT } from './default-rules.ts'

/** Numbers and beliefs that the trade repeats. They stand beside the physics, labelled, and never decide anything. */

const FLUIDS = ['saline', 'distilled', 'filtered', 'other'] as const
const fluids = z.array(z.enum(FLUIDS)).min(1)
const words = z.string().trim().min(3).max(200)

const common = {
  id: z.string().regex(/^[a-z0-9][a-z0-9-]{0,38}$/, 'needs 1 to 39 lower-case letters, digits or hyphens'),
  words,
  /** What physics says of the claim. */
  physics: words.optional(),
  origin: words,
}

const number = z.number().positive().max(10_000)

/** A number or a range of numbers, for one batch. */
const rangeRule = z
  .strictObject({
    kind: z.literal('range'),
    ...common,
    about: z.enum([
      'plateau_mg_l',
      'plateau_over_gas',
      'half_life_min',
      'prep_min_per_250_ml',
      'refresh_after_min',
      'flow_ml_per_min',
    ]),
    low: number,
    high: number,
    fluids: fluids.optional(),
  })
  .refine((rule) => rule.low <= rule.high, { path: ['high'], message: 'needs a number not below low' })

const compared = z.enum(['plateau', 'half-life'])
const expected = z.enum(['more', 'less'])

/** What a colder fluid does, against this clinic's batches of the same fluid at another temperature. */
const colderRule = z.strictObject({
  kind: z.literal('colder'),
  ...common,
  about: compared,
  expect: expected,
})

/** What one fluid does, against this clinic's batches of others; brought to the same gas and temperature. */
const fluidRule = z.strictObject({
  kind: z.literal('fluid'),
  ...common,
  about: compared,
  fluid: z.enum(FLUIDS),
  than: fluids,
  expect: expected,
})

const rulesFile = z.strictObject({
  rules: z.array(z.discriminatedUnion('kind', [rangeRule, colderRule, fluidRule])).max(100),
})

export type RangeRule = z.infer<typeof rangeRule>
export type ColderRule = z.infer<typeof colderRule>
export type FluidRule = z.infer<typeof fluidRule>
export type RuleOfThumb = RangeRule | ColderRule | FluidRule

export type ReadRules =
  | { readonly ok: true; readonly rules: readonly RuleOfThumb[] }
  | { readonly ok: false; readonly faults: readonly string[] }

/** Reads a rules file; every fault is reported at once, naming the entry, the key and what it needs. */
export const readRules = (text: string): ReadRules => {
  let content: unknown
  try {
    content = parse(text)
  } catch (error) {
    const why = error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error)
    return { ok: false, faults: [`not YAML: ${why}`] }
  }
  const parsed = rulesFile.safeParse(content ?? { rules: [] })
  if (!parsed.success)
    return {
      ok: false,
      faults: parsed.error.issues.map((i) => `${i.path.join('.') || 'the file'}: ${i.message}`),
    }
  const ids = parsed.data.rules.map((rule) => rule.id)
  const twice = ids.filter((id, i) => ids.indexOf(id) !== i)
  return twice.length === 0
    ? { ok: true, rules: parsed.data.rules }
    : { ok: false, faults: twice.map((id) => `rules: needs each id once, got ${id} twice`) }
}

const shipped = readRules(DEFAULT_RULES_TEXT)
/** What the program starts with; a clinic's own file takes its place. */
export const DEFAULT_RULES: readonly RuleOfThumb[] = shipped.ok ? shipped.rules : []

/** A single number in common use means "about": it is read as ± 20 %. */
export const ABOUT = 0.2
