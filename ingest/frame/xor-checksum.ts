/**
 * The line checksum of NMEA 0183: `$…*hh`, where hh is the exclusive-or of every character between `$` and
 * `*`, as two hexadecimal digits. It misses swapped characters and paired flips, so ranges are checked too.
 */
export const xorOf = (text: string): number => {
  let sum = 0
  for (let i = 0; i < text.length; i++) sum ^= text.charCodeAt(i)
  return sum
}

export type Checked =
  | { readonly ok: true; readonly content: string }
  | { readonly ok: false; readonly why: 'checksum-missing' | 'checksum-wrong' }

const WITH_CHECKSUM = /^\$([^$*]*)\*([0-9A-Fa-f]{2})$/

/** The content between `$` and `*`, when the checksum that follows is right. */
export const checkXor = (line: string): Checked => {
  const found = WITH_CHECKSUM.exec(line)
  if (!found) return { ok: false, why: 'checksum-missing' }
  const [, content = '', hex = ''] = found
  return xorOf(content) === Number.parseInt(hex, 16)
    ? { ok: true, content }
    : { ok: false, why: 'checksum-wrong' }
}
