import type { Request, Response } from 'express'
import type { z } from 'zod'
import type { Caller } from '../people/caller.ts'

/**
 * One route, said once: what validates the request also describes it in `/api/openapi.json`.
 * `answer` is the schema of the JSON body; null means the handler writes the response itself. Who may ask stands in
 * `server/people/needs.ts`, in one table for all routes.
 */
export interface Route {
  readonly method: 'get' | 'post'
  /** OpenAPI style: `/api/batches/{id}`. */
  readonly path: string
  readonly summary: string
  readonly params?: z.ZodObject
  readonly query?: z.ZodObject
  readonly body?: z.ZodType
  readonly answer: z.ZodType | null
  readonly mediaType?: string
  readonly handle: (input: Input, response: Response, request: Request) => unknown
}

export interface Input {
  readonly params: Readonly<Record<string, string>>
  readonly query: Readonly<Record<string, unknown>>
  readonly body: unknown
  /** Who asks; the gate has let them in. */
  readonly caller: Caller
}

export const expressPath = (path: string): string => path.replace(/\{(\w+)\}/g, ':$1')
