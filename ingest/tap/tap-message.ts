import { createHash, timingSafeEqual } from 'node:crypto'
import { z } from 'zod'
import { type Trial, trialSchema } from './trial.ts'

/** What is asked of the daemon. */
export type TapQuestion =
  | { readonly ask: 'status' }
  | { readonly ask: 'listen'; readonly port: string }
  | { readonly ask: 'listen'; readonly trial: Trial }

export type Understood =
  | { readonly ok: true; readonly question: TapQuestion }
  | { readonly ok: false; readonly why: string }

/** Longest message, bytes. */
export const LONGEST_MESSAGE = 16_384

const withToken = z.looseObject({ token: z.string() })
const status = z.strictObject({ ask: z.literal('status') })
const listen = z.strictObject({ ask: z.literal('listen'), port: z.string().min(1).max(40) })
const trial = z.strictObject({ ask: z.literal('listen'), trial: trialSchema })

/** One line of JSON to a question. The token is looked at before anything else that it says. */
export const understand = (line: string, token: string): Understood => {
  let message: unknown
  try {
    message = JSON.parse(line)
  } catch {
    return refusal('the message needs to be one line of JSON')
  }
  const known = withToken.safeParse(message)
  if (!known.success || !isSame(known.data.token, token))
    return refusal('the token is wrong: read it again from the home folder, it changes at every start')
  const { token: _, ...asked } = known.data
  const schema = asked['ask'] === 'status' ? status : 'trial' in asked ? trial : listen
  const parsed = schema.safeParse(asked)
  if (!parsed.success)
    return refusal(
      parsed.error.issues.map((i) => `${i.path.join('.') || 'the message'} ${wordsOf(i)}`).join('; '),
    )
  return { ok: true, question: parsed.data as TapQuestion }
}

const refusal = (why: string): Understood => ({ ok: false, why })

const wordsOf = (issue: z.core.$ZodIssue): string => {
  const message = issue.message
    .replace(/^Invalid input: expected /, 'needs ')
    .replace(/^Invalid option: expected /, 'needs ')
  return /^needs /.test(message) ? message : `needs another value (${message})`
}

/** Takes the same time whatever is wrong. */
const isSame = (given: string, token: string): boolean => timingSafeEqual(digest(given), digest(token))

const digest = (text: string): Buffer => createHash('sha256').update(text).digest()
