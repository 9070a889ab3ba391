import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto'
import { ServerError } from '../errors.ts'

/** What one hash takes: memory 128·N·r bytes, time in proportion to N·r·p. */
export interface Cost {
  readonly N: number
  readonly r: number
  readonly p: number
}

/**
 * Cost of a hash: 32 MB of memory, three passes. One of the settings of equal strength that the OWASP Password Storage
 * Cheat Sheet lists for scrypt (from memory). Stored beside each hash, so that a later change leaves old ones usable.
 */
export const COST: Cost = { N: 2 ** 15, r: 8, p: 3 }
const SALT_BYTES = 16
const HASH_BYTES = 32
const MOST_MEMORY = 128 * 1024 * 1024

/** Hashes one after another, and no endless line of them: each takes 32 MB and a core for a moment. */
const MOST_WAITING = 20
let waiting = 0
let last: Promise<unknown> = Promise.resolve()

const hash = (secret: string, salt: Buffer, cost: Cost): Promise<Buffer> => {
  if (waiting >= MOST_WAITING)
    throw new ServerError('too-many-tries', 'too many people sign in at this moment', {
      fix: 'try again in a few seconds',
    })
  waiting += 1
  const work = () =>
    new Promise<Buffer>((resolve, reject) =>
      scrypt(secret, salt, HASH_BYTES, { ...cost, maxmem: MOST_MEMORY }, (error, key) =>
        error ? reject(error) : resolve(key),
      ),
    ).finally(() => {
      waiting -= 1
    })
  const done = last.then(work, work)
  last = done
  return done
}

/** `scrypt$N$r$p$salt$hash`: never the secret itself. */
export const hashSecret = async (secret: string, cost: Cost = COST): Promise<string> => {
  const salt = randomBytes(SALT_BYTES)
  const key = await hash(secret, salt, cost)
  return ['scrypt', cost.N, cost.r, cost.p, salt.toString('base64'), key.toString('base64')].join('$')
}

/** Compared in constant time. Without a stored hash the work is done all the same: an answer tells nothing by its time. */
export const isSecret = async (
  secret: string,
  stored: string | null,
  cost: Cost = COST,
): Promise<boolean> => {
  const [kind, N, r, p, salt, key] = (stored ?? nobodys(cost)).split('$')
  if (kind !== 'scrypt' || salt === undefined || key === undefined) return false
  const expected = Buffer.from(key, 'base64')
  const found = await hash(secret, Buffer.from(salt, 'base64'), { N: Number(N), r: Number(r), p: Number(p) })
  return expected.length === found.length && timingSafeEqual(expected, found) && stored !== null
}

const nobodys = ({ N, r, p }: Cost): string =>
  ['scrypt', N, r, p, 'AAAAAAAAAAAAAAAAAAAAAA==', 'A'.repeat(43)].join('$')

export const LEAST_PASSWORD = 10

/** Undefined for a password that will do; else what is wrong with it. Length counts, not the kinds of characters. */
export const whyWeakPassword = (password: string, name: string): string | undefined => {
  if ([...password].length < LEAST_PASSWORD) return `needs at least ${LEAST_PASSWORD} characters`
  if (new Set(password).size < 4) return 'needs more than three different characters'
  return password.toLowerCase().includes(name.toLowerCase())
    ? 'needs to be something else than the name'
    : undefined
}

/** Undefined for a PIN that will do: six digits that are not a row on the keys. */
export const whyWeakPin = (pin: string): string | undefined => {
  if (!/^\d{6}$/.test(pin)) return 'needs six digits'
  const steps = [...pin].slice(1).map((digit, i) => Number(digit) - Number(pin[i]))
  return [0, 1, -1].some((step) => steps.every((s) => s === step))
    ? 'needs six digits that are not all equal and not counted up or down'
    : undefined
}
