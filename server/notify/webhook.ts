import { type Outcome, said, troubleWords } from './outcome.ts'
import { signatureOf } from './signature.ts'

const TIMEOUT_MS = 10_000
/** As much of an answer as is read for its words. */
const MOST_READ = 2000
/** Too early, too much, in trouble: the same request may do later. */
const RETRIED = new Set([408, 425, 429])

export interface Post {
  readonly url: string
  readonly secret: string
  /** The same at every try of the same message. */
  readonly id: string
  readonly body: object
  readonly nowMs: number
}

/** Posts one signed message. Follows no redirection: what is signed for one address is for no other. */
export const postSigned = async ({ url, secret, id, body, nowMs }: Post): Promise<Outcome> => {
  const text = JSON.stringify(body)
  const timestamp = Math.floor(nowMs / 1000)
  let response: Response
  let words: string
  try {
    response = await fetch(url, {
      method: 'POST',
      redirect: 'manual',
      signal: AbortSignal.timeout(TIMEOUT_MS),
      headers: {
        'content-type': 'application/json',
        'user-agent': 'Spargewatch',
        'idempotency-key': id,
        'spargewatch-timestamp': String(timestamp),
        'spargewatch-signature': `v1=${signatureOf(secret, timestamp, text)}`,
      },
      body: text,
    })
    words = await firstWords(response)
  } catch (error) {
    return { kind: 'unreachable', why: troubleWords(error), retryAfterMs: 0 }
  }
  return outcomeOf(response, words, nowMs)
}

const outcomeOf = (response: Response, words: string, nowMs: number): Outcome => {
  const { status } = response
  const why = `it answered ${status}${words === '' ? '' : `: ${words}`}`
  if (status >= 200 && status < 300) return { kind: 'delivered', words: null }
  if (status >= 500 || RETRIED.has(status))
    return {
      kind: 'unreachable',
      why,
      retryAfterMs: retryAfterMs(response.headers.get('retry-after'), nowMs),
    }
  if (status >= 300 && status < 400)
    return { kind: 'refused', why: `it answered ${status}, a redirection: set its new address` }
  return { kind: 'refused', why }
}

const LONGEST_ASKED_MS = 3_600_000

/** Seconds or a date (RFC 9110, 10.2.3); an hour at most. */
const retryAfterMs = (header: string | null, nowMs: number): number => {
  if (header === null) return 0
  const ms = /^\d+$/.test(header) ? Number(header) * 1000 : Date.parse(header) - nowMs
  return Number.isFinite(ms) ? Math.min(Math.max(0, ms), LONGEST_ASKED_MS) : 0
}

/** An endless answer is not waited for. */
const firstWords = async (response: Response): Promise<string> => {
  const reader = response.body?.getReader()
  if (reader === undefined) return ''
  const decoder = new TextDecoder()
  let text = ''
  while (text.length < MOST_READ) {
    const { done, value } = await reader.read()
    if (done) return said(text)
    text += decoder.decode(value, { stream: true })
  }
  await reader.cancel()
  return said(text)
}
