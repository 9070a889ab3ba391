import { createHash, randomBytes } from 'node:crypto'

/** 256 random bits, base64url: nobody guesses one, so its plain hash is enough to keep. */
export const newToken = (): string => randomBytes(32).toString('base64url')

/** What is stored of a token: who reads the file cannot use it. */
export const hashToken = (token: string): string => createHash('sha256').update(token, 'utf8').digest('hex')

/** Does a text look like a token at all? Spares the file a question about anything else. */
export const isToken = (text: string | undefined): text is string =>
  text !== undefined && /^[A-Za-z0-9_-]{43}$/.test(text)
