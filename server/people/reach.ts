import { hostname, networkInterfaces } from 'node:os'
import type { WebConfig } from '../config.ts'
import { ServerError } from '../errors.ts'
import { OURS_HERE, type Ours, oursOf } from '../routes/own-origin.ts'

const LOOPBACK: ReadonlySet<string> = new Set(['127.0.0.1', '::1', 'localhost'])

export const isLoopback = (host: string): boolean => LOOPBACK.has(host)

/**
 * May the screens be reached like this? From other machines only when people sign in, and only over TLS: passwords, PINs and
 * cookies could be read on the way. Throws `config-invalid` with what to do.
 */
export const checkReach = (host: string, web: WebConfig, isSetUp: () => boolean): void => {
  if (isLoopback(host) && !web.behindProxy) return
  const what = isLoopback(host) ? 'web: behind_proxy' : `HOST ${host}`
  if (!isSetUp())
    throw new ServerError(
      'config-invalid',
      `${what} opens the screens to other machines, and nobody can sign in yet: start once ${
        isLoopback(host) ? 'without it' : 'with HOST=127.0.0.1'
      }, open the set-up link that the program prints, make the first administrator, then start again like this`,
    )
  if (web.tls === null && !web.behindProxy)
    throw new ServerError(
      'config-invalid',
      `${what} needs TLS: without it passwords, PINs and cookies could be read on the network. Put "web: { tls: { cert: FILE, key: FILE } }" into spargewatch.yaml, or "web: { behind_proxy: true }" where a proxy on this machine does it`,
    )
}

/** For parts that have no sign-in. */
export const checkStaysHere = (host: string, what: string): void => {
  if (!isLoopback(host))
    throw new ServerError(
      'config-invalid',
      `HOST needs to be a loopback address (127.0.0.1, ::1 or localhost), got ${host}: nobody can sign in to ${what}, so it stays on this machine`,
    )
}

/** Under which names and addresses browsers may ask. */
export const oursAt = (host: string, { tls, behindProxy, names }: WebConfig): Ours => {
  const overTls = tls !== null || behindProxy
  if (isLoopback(host) && !overTls && names.length === 0) return OURS_HERE
  return oursOf(isLoopback(host) ? names : [...names, ...ownNames()], overTls && tls !== null)
}

const ownNames = (): string[] => [
  hostname(),
  `${hostname()}.local`,
  ...Object.values(networkInterfaces()).flatMap((addresses) =>
    (addresses ?? []).map(({ address, family }) =>
      family === 'IPv6' ? `[${address.replace(/%.*$/, '')}]` : address,
    ),
  ),
]
