/** What can be wrong with a request. Decisions read `code`; people read `message` and `fix`. */
export type ServerErrorCode =
  | 'bad-request'
  | 'forbidden-origin'
  | 'read-only'
  | 'not-signed-in'
  | 'not-allowed'
  | 'too-many-tries'
  | 'not-found'
  | 'conflict'
  | 'not-possible-now'
  | 'too-large'
  | 'config-invalid'
  | 'ledger-broken'
  | 'not-available'

export class ServerError extends Error {
  readonly code: ServerErrorCode
  readonly fix: string | undefined
  readonly context: Readonly<Record<string, unknown>>

  constructor(
    code: ServerErrorCode,
    message: string,
    more: { fix?: string; context?: Record<string, unknown>; cause?: unknown } = {},
  ) {
    super(message, more.cause === undefined ? undefined : { cause: more.cause })
    this.name = 'ServerError'
    this.code = code
    this.fix = more.fix
    this.context = more.context ?? {}
  }
}

export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))
