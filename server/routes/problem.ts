import type { ErrorRequestHandler, Response } from 'express'
import type { z } from 'zod'
import { messageOf, ServerError, type ServerErrorCode } from '../errors.ts'

const STATUS: Readonly<Record<ServerErrorCode, number>> = {
  'bad-request': 400,
  'forbidden-origin': 403,
  'read-only': 403,
  'not-signed-in': 401,
  'not-allowed': 403,
  'too-many-tries': 429,
  'not-found': 404,
  conflict: 409,
  'not-possible-now': 422,
  'too-large': 413,
  'config-invalid': 500,
  'ledger-broken': 500,
  'not-available': 503,
}

/** Answers with RFC 9457 problem details. */
export const sendProblem = (response: Response, error: ServerError): void => {
  const status = STATUS[error.code]
  const wait = error.context['retryAfterS']
  if (typeof wait === 'number') response.set('retry-after', String(wait))
  response
    .status(status)
    .type('application/problem+json')
    .send(
      JSON.stringify({
        type: `urn:spargewatch:problem:${error.code}`,
        title: error.code.replaceAll('-', ' '),
        status,
        detail: error.message,
        ...(error.fix ? { fix: error.fix } : {}),
        ...(Array.isArray(error.context['entries']) ? { entries: error.context['entries'] } : {}),
      }),
    )
}

/** What the client sent does not fit: every fault in one answer, each naming its field. */
export const invalid = (where: string, error: z.ZodError): ServerError => {
  const faults = error.issues.map((issue) => `${[where, ...issue.path].join('.')}: ${issue.message}`)
  return new ServerError('bad-request', faults.join('; '), {
    fix: 'see /api/openapi.json for what is accepted',
  })
}

/** Last stop of every route: an expected error keeps its words, an unexpected one is logged and named by none. */
export const problemHandler =
  (onUnexpected: (error: unknown) => void): ErrorRequestHandler =>
  (error: unknown, _request, response, next) => {
    if (response.headersSent) return next(error)
    if (error instanceof ServerError) return sendProblem(response, error)
    const status = (error as { status?: unknown }).status
    if (status === 413)
      return sendProblem(
        response,
        new ServerError('too-large', 'the request is larger than 64 kB', { fix: 'send less at once' }),
      )
    if (typeof status === 'number' && status >= 400 && status < 500)
      return sendProblem(
        response,
        new ServerError('bad-request', `the request cannot be read: ${messageOf(error)}`, {
          fix: 'send JSON with content-type application/json',
        }),
      )
    onUnexpected(error)
    response
      .status(500)
      .type('application/problem+json')
      .send(
        JSON.stringify({
          type: 'about:blank',
          title: 'internal error',
          status: 500,
          detail: 'the program failed at this request; its log says more',
        }),
      )
  }
