import type { IncomingMessage } from 'node:http'

const LOOPBACK_NAMES = new Set(['localhost', '127.0.0.1', '[::1]'])

/**
 * Is this request from a page of our own? The name in `Host` must be a loopback name (a page elsewhere that
 * re-binds its own name to this machine fails here), and an `Origin`, where there is one, must be this very host.
 */
export const whyForeign = (request: Pick<IncomingMessage, 'headers'>): string | undefined => {
  const host = request.headers.host ?? ''
  const name = host.replace(/:\d+$/, '')
  if (!LOOPBACK_NAMES.has(name))
    return `Host ${host || '(none)'} is not this machine: use localhost or 127.0.0.1`
  const origin = request.headers.origin
  if (origin === undefined) return undefined
  return origin === `http://${host}` || origin === `https://${host}`
    ? undefined
    : `Origin ${origin} is not this program's own page`
}
