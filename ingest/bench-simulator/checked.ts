import { z } from 'zod'
import { SimulatorError } from './simulator-error.ts'

export type Checked<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly why: string[] }

/** A number with its bounds as the words of the fault, e.g. `a number of mL from 1 to 5000`. */
export const numberIn = (least: number, most: number, unit = '') => {
  const needs = `a number ${unit === '' ? '' : `of ${unit} `}from ${least} to ${most}`
  return z.number({ error: needs }).min(least, needs).max(most, needs)
}

export const wholeIn = (least: number, most: number) => {
  const needs = `a whole number from ${least} to ${most}`
  return z.number({ error: needs }).int(needs).min(least, needs).max(most, needs)
}

/** Checks an outside value; every fault is named with its key, the requirement and what was got. */
export const check = <S extends z.ZodType>(schema: S, input: unknown, root: string): Checked<z.output<S>> => {
  const result = schema.safeParse(input)
  if (result.success) return { ok: true, value: result.data }
  return { ok: false, why: result.error.issues.map((issue) => faultOf(issue, input, root)) }
}

/** As `check`, for callers that cannot go on: throws `bad-input` with all faults. */
export const mustCheck = <S extends z.ZodType>(schema: S, input: unknown, root: string): z.output<S> => {
  const checked = check(schema, input, root)
  if (!checked.ok) throw new SimulatorError('bad-input', checked.why)
  return checked.value
}

const faultOf = (issue: z.core.$ZodIssue, input: unknown, root: string): string => {
  const key = issue.path.reduce<string>(
    (text, part) => (typeof part === 'number' ? `${text}[${part}]` : `${text}.${String(part)}`),
    root,
  )
  if (issue.code === 'unrecognized_keys') return `${key} has no key ${issue.keys.map(shown).join(', ')}`
  return `${key} needs ${requirementOf(issue)}, got ${shown(valueAt(input, issue.path))}`
}

/** The library's own words, where a schema gave none, name the type at least. */
const requirementOf = (issue: z.core.$ZodIssue): string =>
  issue.code === 'invalid_type' && issue.message.startsWith('Invalid input')
    ? `a value of type ${issue.expected}`
    : issue.message

const valueAt = (input: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>(
    (value, part) => (typeof value === 'object' && value !== null ? Reflect.get(value, part) : undefined),
    input,
  )

/** Bounded, so that a fault about a huge value stays one readable line. */
const shown = (value: unknown): string => (JSON.stringify(value) ?? 'nothing').slice(0, 80)
