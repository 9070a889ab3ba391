export const SESSION_COOKIE = 'spargewatch-session'
export const DISPLAY_COOKIE = 'spargewatch-display'

/** Longer than this no browser keeps a cookie (RFC 6265bis caps it at 400 days); renewed while the display is in use. */
export const DISPLAY_MAX_AGE_S = 400 * 86_400

/** The first cookie of a name; a header can carry several. */
export const cookieOf = (header: string | undefined, name: string): string | undefined => {
  for (const pair of (header ?? '').split(';')) {
    const at = pair.indexOf('=')
    if (at > 0 && pair.slice(0, at).trim() === name) return pair.slice(at + 1).trim()
  }
  return undefined
}

/** Out of reach of scripts and of other sites; `secure`: only over TLS. Age 0 takes it away. */
export const setCookie = (name: string, value: string, maxAgeS: number, secure: boolean): string =>
  `${name}=${value}; Path=/; Max-Age=${maxAgeS}; HttpOnly; SameSite=Strict${secure ? '; Secure' : ''}`
