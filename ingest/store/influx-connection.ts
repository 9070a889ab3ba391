import { readFileSync } from 'node:fs'
import { HttpError, InfluxDB } from '@influxdata/influxdb-client'
import type { InfluxTarget } from '../config-influx.ts'
import { IngestError, messageOf } from '../errors.ts'
import type { InfluxCredentials } from '../influx-secrets.ts'

/** What the server made of one write. Only `acknowledged` means that it has the lines. */
export type WriteOutcome =
  | { readonly kind: 'acknowledged' }
  /** Something in these lines is not acceptable; it may have kept the others. */
  | { readonly kind: 'refused'; readonly words: string; readonly all: boolean }
  /** Nobody there, too busy, or broken: the same again later. */
  | { readonly kind: 'unreachable'; readonly why: string; readonly retryAfterMs: number }
  /** It does not know us or the database: somebody has to mend the settings. */
  | { readonly kind: 'not-let-in'; readonly why: string }

export type Row = Readonly<Record<string, string | number | boolean | null>>

export interface RowGroup {
  readonly tags: Readonly<Record<string, string>>
  readonly rows: readonly Row[]
  /** The server may have more of it: 1.x says so of what it gives out in portions of 10,000 rows. */
  readonly isPartial: boolean
}

export interface InfluxConnection {
  readonly name: string
  write(lines: readonly string[]): Promise<WriteOutcome>
  /** InfluxQL, times in µs; one list of groups for each statement. Throws `influx-failed`. */
  query(statements: string): Promise<RowGroup[][]>
}

const TIMEOUT_MS = 30_000
const GZIP_FROM_BYTES = 1000
/** A server that asks for more is asked again anyway. */
const MOST_ASKED_MS = 300_000
const WORDS_AT_MOST = 300

/**
 * One InfluxDB server, 1.x, 2.x or 3.x. Uses the client's transport and not its buffered write API: that one's
 * `close()` resolves before batches in flight are accepted, and it takes a partial success (201) for a success.
 */
export const connectInflux = (target: InfluxTarget, credentials: InfluxCredentials): InfluxConnection => {
  const { transport } = new InfluxDB({
    url: target.url,
    timeout: TIMEOUT_MS,
    headers: authorization(credentials, target.version),
    transportOptions: target.caFile === null ? {} : { ca: readFileSync(target.caFile) },
  })
  const secret = secretOf(credentials)
  const shown = (text: string) => hide(text, secret).slice(0, WORDS_AT_MOST)

  const write = (lines: readonly string[]): Promise<WriteOutcome> =>
    new Promise((resolve) => {
      let status = 0
      let body = ''
      const options = {
        method: 'POST',
        headers: { 'content-type': 'text/plain; charset=utf-8' },
        gzipThreshold: GZIP_FROM_BYTES,
      }
      transport.send(writePath(target), lines.join('\n'), options, {
        responseStarted: (_headers, code) => {
          status = code ?? 0
        },
        next: (chunk) => {
          body += Buffer.from(chunk).toString('utf8')
        },
        error: (error) => resolve(outcomeOf(error, lines.length, shown)),
        complete: () => resolve(completed(status, shown(body))),
      })
    })

  const query = async (statements: string): Promise<RowGroup[][]> => {
    const parameters = new URLSearchParams({ db: target.database, epoch: 'u', q: statements })
    let answer: unknown
    try {
      answer = await transport.request(`/query?${parameters}`, '', {
        method: 'GET',
        headers: { accept: 'application/json' },
      })
    } catch (error) {
      throw new IngestError('influx-failed', `${target.url} did not answer a query: ${shown(wordsOf(error))}`)
    }
    return groupsOf(answer, (words) => shown(words))
  }

  return { name: placeName(target), write, query }
}

/** Which place on which server, without any secret: what was acknowledged there says nothing of another place. */
export const placeName = (target: InfluxTarget): string =>
  `${target.url} (InfluxDB ${target.version}) ${target.bucket === null ? target.database : `${target.bucket.org}/${target.bucket.bucket}`}`

/** 1.x spells microseconds `u`, 2.x and the 2.x-compatible endpoint of 3.x spell it `us`. */
const writePath = (target: InfluxTarget): string => {
  switch (target.version) {
    case 1:
      return `/write?${new URLSearchParams({ db: target.database, precision: 'u' })}`
    case 2:
      return `/api/v2/write?${new URLSearchParams({ org: target.bucket?.org ?? '', bucket: target.bucket?.bucket ?? '', precision: 'us' })}`
    case 3:
      return `/api/v2/write?${new URLSearchParams({ bucket: target.database, precision: 'us' })}`
  }
}

/** 3.x takes Bearer on all its endpoints, 2.x knows only Token. */
const authorization = (credentials: InfluxCredentials, version: 1 | 2 | 3): Record<string, string> => {
  switch (credentials.kind) {
    case 'none':
      return {}
    case 'token':
      return { Authorization: `${version === 3 ? 'Bearer' : 'Token'} ${credentials.token}` }
    case 'password': {
      const { user, password } = credentials
      return { Authorization: `Basic ${Buffer.from(`${user}:${password}`, 'utf8').toString('base64')}` }
    }
  }
}

const secretOf = (credentials: InfluxCredentials): string | null => {
  switch (credentials.kind) {
    case 'none':
      return null
    case 'token':
      return credentials.token
    case 'password':
      return credentials.password
  }
}

const hide = (text: string, secret: string | null): string =>
  secret === null ? text : text.replaceAll(secret, '(secret)')

/** 204 is the acknowledgement; a 201 of 3.x says that only a part was taken. */
const completed = (status: number, body: string): WriteOutcome => {
  if (status === 204) return { kind: 'acknowledged' }
  if (status === 201) return { kind: 'refused', words: body || 'only a part was taken (201)', all: false }
  return {
    kind: 'unreachable',
    why: `it answered ${status} where 204 acknowledges a write`,
    retryAfterMs: 0,
  }
}

const outcomeOf = (error: Error, lines: number, shown: (text: string) => string): WriteOutcome => {
  const words = shown(wordsOf(error))
  if (!(error instanceof HttpError)) return { kind: 'unreachable', why: words, retryAfterMs: 0 }
  const status = error.statusCode
  // 400: type conflict, beyond retention, not a number; 2.x says 422 beyond retention; 413: too much at once
  if (status === 400 || status === 413 || status === 422)
    return { kind: 'refused', words: `${status}: ${words}`, all: droppedOf(words) === lines }
  if (status === 408 || status === 429 || status >= 500)
    return {
      kind: 'unreachable',
      why: `${status}: ${words}`,
      retryAfterMs: retryAfterMs(error),
    }
  return { kind: 'not-let-in', why: `${status}: ${words}` }
}

/** The client gives the header's seconds out as if they were milliseconds: read here instead. */
const retryAfterMs = (error: HttpError): number => {
  const asked = error.headers?.['retry-after']
  if (typeof asked !== 'string') return 0
  const ms = /^\d+$/.test(asked) ? Number(asked) * 1000 : Date.parse(asked) - Date.now()
  return Number.isFinite(ms) ? Math.min(MOST_ASKED_MS, Math.max(0, ms)) : 0
}

/** "partial write: points beyond retention policy dropped=17". */
const droppedOf = (words: string): number => Number(/\bdropped=(\d+)/.exec(words)?.[1] ?? 0)

const wordsOf = (error: unknown): string => {
  if (!(error instanceof HttpError)) return messageOf(error)
  const json: unknown = error.json
  if (typeof json === 'object' && json !== null) {
    if ('error' in json && typeof json.error === 'string') return json.error
    if ('message' in json && typeof json.message === 'string') return json.message
  }
  return error.body?.trim() || error.statusMessage || 'no reason given'
}

interface QueryAnswer {
  readonly error?: string
  readonly results?: readonly {
    readonly error?: string
    readonly series?: readonly {
      readonly tags?: Record<string, string>
      readonly columns: readonly string[]
      readonly values?: readonly (readonly (string | number | boolean | null)[])[]
      readonly partial?: boolean
    }[]
  }[]
}

const groupsOf = (answer: unknown, shown: (words: string) => string): RowGroup[][] => {
  const { error, results } = (answer ?? {}) as QueryAnswer
  const fault = error ?? results?.find((r) => r.error !== undefined)?.error
  if (fault !== undefined || results === undefined)
    throw new IngestError('influx-failed', `InfluxDB answered a query with: ${shown(fault ?? 'no results')}`)
  return results.map((result) =>
    (result.series ?? []).map(({ tags = {}, columns, values = [], partial = false }) => ({
      tags,
      isPartial: partial,
      rows: values.map((row) => Object.fromEntries(columns.map((name, i) => [name, row[i] ?? null]))),
    })),
  )
}
