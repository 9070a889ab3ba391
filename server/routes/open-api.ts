import { createDocument, type ZodOpenApiPathsObject } from 'zod-openapi'
import { problem } from '../wire/request-schema.ts'
import type { Route } from './route.ts'

/** The OpenAPI description, made from the very schemas that validate. */
export const openApi = (routes: readonly Route[], version: string) => {
  const paths: ZodOpenApiPathsObject = {}
  for (const route of routes) {
    const there = paths[route.path] ?? {}
    paths[route.path] = { ...there, [route.method]: operation(route) }
  }
  return createDocument({
    openapi: '3.1.0',
    info: {
      title: 'Spargewatch',
      version,
      description:
        'Readings, batches, alarms and records of a bench. Monitors and records only: not a medical device.',
    },
    paths,
  })
}

const operation = (route: Route) => ({
  summary: route.summary,
  ...(route.params || route.query
    ? {
        requestParams: {
          ...(route.params ? { path: route.params } : {}),
          ...(route.query ? { query: route.query } : {}),
        },
      }
    : {}),
  ...(route.body
    ? { requestBody: { required: true, content: { 'application/json': { schema: route.body } } } }
    : {}),
  responses: {
    '200': {
      description: 'done',
      content: route.answer
        ? { 'application/json': { schema: route.answer } }
        : { [route.mediaType ?? 'application/json']: { schema: { type: 'string' as const } } },
    },
    default: {
      description: 'what is wrong, and the fix',
      content: { 'application/problem+json': { schema: problem } },
    },
  },
})
