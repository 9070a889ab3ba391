import { z } from 'zod'
import { text } from './text.ts'

const person = z.uuid()
const name = text(60)
const role = z.enum(['viewer', 'operator', 'reviewer', 'administrator'])
const display = z.uuid()
const sha256 = z.string().regex(/^[0-9a-f]{64}$/)

/**
 * What happens with people, displays and signatures, as entries of the record. Never a password, a PIN, a token or a hash of
 * one: the record may be mirrored to another place.
 */
export const PEOPLE_ENTRY_DATA = {
  'people-added': z.strictObject({ person, name, role }),
  'people-role': z.strictObject({ person, name, from: role, to: role }),
  'people-active': z.strictObject({ person, name, active: z.boolean() }),
  'people-secret': z.strictObject({ person, name, what: z.enum(['password', 'pin', 'link-made']) }),
  'people-signed-in': z.strictObject({
    person,
    by: z.enum(['password', 'pin', 'link']),
    display: name.nullable(),
    failed_before: z.number().int().meta({ description: 'wrong tries for this person just before' }),
  }),
  'people-signed-out': z.strictObject({ person, why: z.enum(['by-hand', 'switched', 'display-paired']) }),
  'people-locked-out': z.strictObject({
    person: person.nullable().meta({ description: 'null: the name that was typed is nobody’s' }),
    name: name.nullable(),
    address: text(60),
    tries: z.number().int().meta({ description: 'wrong ones in a row' }),
    wait_s: z.number().int(),
  }),
  'people-display-paired': z.strictObject({ display, name }),
  'people-display-revoked': z.strictObject({ display, name }),
  signed: z.strictObject({ entry: z.uuid() }),
  'record-reviewed': z.strictObject({
    meaning: z.enum(['reviewed', 'approved']),
    ledger_entries: z.number().int(),
    ledger_head: sha256.meta({ description: 'head of the record that was looked at: what it covers' }),
    also_worked: z.boolean().optional().meta({ description: 'the reviewer had also worked on the batch' }),
  }),
} as const

export type PeopleEntryKind = Extract<keyof typeof PEOPLE_ENTRY_DATA, `people-${string}`>

/** Said about a batch from outside of it: changes nothing of what was done, and stands in nobody's way. */
const ABOUT_THE_RECORD: ReadonlySet<string> = new Set(['signed', 'record-reviewed', 'results-kept'])

export const isAboutTheRecord = (kind: string): boolean => ABOUT_THE_RECORD.has(kind)

export const isAboutPeople = (kind: string): kind is PeopleEntryKind => kind.startsWith('people-')
