/** What can go wrong on the way from a port to the store. Decisions read `code`, people read `message`. */
export type IngestErrorCode =
  | 'config-invalid'
  | 'config-unreadable'
  | 'secrets-invalid'
  | 'influx-failed'
  | 'store-newer'
  | 'store-other-kind'
  | 'store-not-durable'
  | 'store-failed'
  | 'port-failed'
  | 'home-in-use'
  | 'tap-failed'

export class IngestError extends Error {
  readonly code: IngestErrorCode
  readonly context: Readonly<Record<string, unknown>>

  constructor(
    code: IngestErrorCode,
    message: string,
    context: Readonly<Record<string, unknown>> = {},
    cause?: unknown,
  ) {
    super(message, cause === undefined ? undefined : { cause })
    this.name = 'IngestError'
    this.code = code
    this.context = context
  }
}

export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))
