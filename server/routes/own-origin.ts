import type { IncomingMessage } from 'node:http'

const LOOPBACK_NAMES: readonly string[] = ['localhost', '127.0.0.1', '[::1]']

/** Names under which this program is asked, as they stand in `Host`, in small letters. */
export interface Ours {
  readonly names: ReadonlySet<string>
  /** Only over TLS, its own or a proxy's. */
  readonly tls: boolean
}

/** On this machine only. */
export const OURS_HERE: Ours = { names: new Set(LOOPBACK_NAMES), tls: false }

/** Also from other machines: under its own addresses and names, and those of the config. */
export const oursOf = (names: readonly string[], tls: boolean): Ours => ({
  names: new Set([...LOOPBACK_NAMES, ...names.map((name) => name.toLowerCase())]),
  tls,
})

/**
 * Is this request from a page of our own? The name in `Host` must be one of ours (a page elsewhere that re-binds its own
 * name to this machine fails here), and an `Origin`, where there is one, must be this very host.
 */
export const whyForeign = (
  request: Pick<IncomingMessage, 'headers'>,
  { names, tls }: Ours = OURS_HERE,
): string | undefined => {
  const host = request.headers.host ?? ''
  const name = host.replace(/:\d+$/, '').toLowerCase()
  if (!names.has(name))
    return `Host ${host || '(none)'} is not this machine: ${
      names.size > LOOPBACK_NAMES.length
        ? 'a name of your own belongs under web: names in spargewatch.yaml'
        : 'use localhost or 127.0.0.1'
    }`
  const origin = request.headers.origin
  if (origin === undefined) return undefined
  return origin === `https://${host}` || (!tls && origin === `http://${host}`)
    ? undefined
    : `Origin ${origin} is not this program's own page`
}
