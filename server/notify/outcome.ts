/**
 * What came of one try. `refused`: for good, trying again would change nothing. `later`: this message not now, others may
 * go. `unreachable`: nothing goes this way now. `not-let-in`: the settings or secrets need mending first.
 */
export type Outcome =
  | { readonly kind: 'delivered'; readonly words: string | null }
  | { readonly kind: 'refused'; readonly why: string }
  | { readonly kind: 'later'; readonly why: string }
  | { readonly kind: 'unreachable'; readonly why: string; readonly retryAfterMs: number }
  | { readonly kind: 'not-let-in'; readonly why: string }

const LONGEST_WORDS = 300

/** The words of somebody else, on one line and not too long. */
export const said = (words: string): string => words.replace(/\s+/g, ' ').trim().slice(0, LONGEST_WORDS)

const TROUBLE: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'nothing answers there (connection refused)',
  ECONNRESET: 'it broke off the connection',
  EHOSTUNREACH: 'there is no way to it from this machine (host unreachable)',
  ENETUNREACH: 'there is no way to it from this machine (network unreachable)',
  ENOTFOUND: 'its name cannot be found',
  EAI_AGAIN: 'its name cannot be looked up now',
  EDNS: 'its name cannot be looked up',
  ETIMEDOUT: 'it does not answer in time',
  TimeoutError: 'it does not answer in time',
  UND_ERR_SOCKET: 'it broke off the connection',
  ECONNECTION: 'it broke off the connection',
}

/** Trouble on the way, in plain words with the system's own beside them. */
export const troubleWords = (error: unknown): string => {
  const causes = causesOf(error)
  const known = causes.map(wordsFor).find((words) => words !== undefined)
  const last = causes.at(-1)
  const own = said(last?.message || String(last?.code ?? 'no words'))
  return known === undefined ? own : `${known}: ${own}`
}

/** Some libraries keep the system's code in their message only. */
const wordsFor = ({ code, name, message }: Error & { readonly code?: string }): string | undefined =>
  TROUBLE[/\b(E[A-Z_]{4,})\b/.exec(message)?.[1] ?? ''] ?? TROUBLE[code ?? ''] ?? TROUBLE[name]

const causesOf = (error: unknown): (Error & { readonly code?: string })[] => {
  if (!(error instanceof Error)) return [new Error(String(error))]
  const inner = error instanceof AggregateError ? error.errors[0] : error.cause
  return [error, ...(inner instanceof Error ? causesOf(inner) : [])]
}
