import { ServerError } from '../errors.ts'
import type { Key } from './attempts.ts'
import { type People, PROGRAM } from './people.ts'
import { nameKey, type Person } from './person.ts'
import { type Cost, isSecret } from './secret.ts'

export interface Proof {
  /** Who they say they are; undefined: nobody of that name. */
  readonly person: Person | undefined
  /** What stands for them where they are nobody: the name that was typed. */
  readonly typed: string
  readonly secret: string
  readonly kinds: readonly ('password' | 'pin')[]
  readonly address: string
}

export interface Proved {
  readonly person: Person
  /** Wrong tries for this person just before. */
  readonly failedBefore: number
}

/**
 * Lets a person prove who they are. The answer is the same, and takes as long, for nobody, for somebody who was
 * deactivated and for a wrong secret. Too many wrong tries make the next one wait, for the person and for the address.
 */
export const prove = async (people: People, proof: Proof): Promise<Proved> => {
  const { person, address } = proof
  const keys: Key[] = [
    { kind: 'person', of: person?.id ?? nameKey(proof.typed) },
    { kind: 'address', of: address },
  ]
  const wait = people.attempts.waitS(keys)
  if (wait > 0) throw tooMany(wait)
  const penalty = people.attempts.begin(keys)
  if (!(await isRight(proof, people.parts.cost))) {
    if (penalty > 0) recordLockOut(people, proof, keys, penalty)
    throw penalty > 0 ? tooMany(penalty) : wrong()
  }
  return { person: person as Person, failedBefore: people.attempts.right(keys) }
}

const isRight = async ({ person, secret, kinds }: Proof, cost: Cost | undefined): Promise<boolean> => {
  const known = person?.active ? person : undefined
  let right = false
  for (const kind of kinds) right = (await isSecret(secret, known?.[kind] ?? null, cost)) || right
  return right
}

/** A name that is nobody's is not recorded: it may be a password typed into the wrong field. */
const recordLockOut = (
  people: People,
  { person, address }: Proof,
  keys: readonly Key[],
  wait: number,
): void =>
  people.record(PROGRAM, 'people-locked-out', {
    person: person?.id ?? null,
    name: person?.name ?? null,
    address,
    tries: Math.max(...keys.map((key) => people.attempts.countOf(key))),
    wait_s: wait,
  })

const wrong = (): ServerError =>
  new ServerError('not-signed-in', 'name and password, or PIN, do not belong together', {
    fix: 'type them again; an administrator can make a new link for you under People',
  })

const tooMany = (waitS: number): ServerError =>
  new ServerError('too-many-tries', `too many wrong tries: wait ${Math.ceil(waitS)} s before the next one`, {
    fix: 'what stops gas can still be entered at a paired display',
    context: { retryAfterS: Math.ceil(waitS) },
  })
