import { z } from 'zod'
import { entrySchema } from '../ledger/entry.ts'
import { text } from '../ledger/text.ts'
import { time } from './basics-schema.ts'

/** People, sign-in, paired displays, signatures and reviews. */

export const roleName = z.enum(['viewer', 'operator', 'reviewer', 'administrator'])
const id = z.uuid().toLowerCase()
/** A password as typed: blanks count. */
const password = z.string().min(1).max(200)
const pin = z.string().min(1).max(20)
const token = z.string().min(1).max(100)
const nothing = z.strictObject({})

/** GET /api/session */
export const session = z.object({
  set_up: z.boolean().meta({ description: 'false: nobody can sign in yet, names are typed' }),
  person: z
    .object({
      id: z.string(),
      name: z.string(),
      role: roleName,
      acts_as: roleName.meta({ description: 'less than the role with a PIN; viewer when idle' }),
      by: z.enum(['password', 'pin']),
      idle: z.boolean(),
      acts_until: time,
      ends_at: time,
      has_pin: z.boolean(),
    })
    .nullable(),
  display: z
    .object({
      name: z.string(),
      people: z.array(z.object({ id: z.string(), name: z.string() })).meta({
        description: 'who can act here with a PIN',
      }),
    })
    .nullable(),
})

/** POST /api/sign-in */
export const signInWanted = z.strictObject({ name: text(60), password })
/** POST /api/sign-in/pin */
export const pinWanted = z.strictObject({ person: id, pin })
/** POST /api/link */
export const linkWanted = z.strictObject({ token })
export const linkFound = z.object({
  name: z.string().nullable().meta({ description: 'whose it is; null: it makes the first administrator' }),
})
/** POST /api/link/use */
export const linkUsed = z.strictObject({ token, name: text(60).optional(), password, pin: pin.optional() })
/** POST /api/sign-out, /api/session/here, /api/people/{id}/link, /api/displays/{id}/revocation */
export const nothingWanted = nothing
/** POST /api/session/password */
export const passwordWanted = z.strictObject({ current: password, password })
/** POST /api/session/pin */
export const ownPinWanted = z.strictObject({ current: password, pin })

export const personView = z.object({
  id: z.string(),
  name: z.string(),
  role: roleName,
  active: z.boolean(),
  has_password: z.boolean(),
  has_pin: z.boolean(),
})
/** POST /api/people */
export const personWanted = z.strictObject({ id, name: text(60), role: roleName })
export const invited = z.object({
  person: personView,
  link: z.string().meta({ description: 'path with the one-time token behind #; shown this once' }),
  until: time,
})
/** POST /api/people/{id}/role */
export const roleWanted = z.strictObject({ role: roleName })
/** POST /api/people/{id}/activity */
export const activityWanted = z.strictObject({ active: z.boolean() })

export const displayView = z.object({
  id: z.string(),
  name: z.string(),
  paired_at: time,
  paired_by: z.string(),
  revoked_at: time.nullable(),
})
/** POST /api/displays */
export const displayWanted = z.strictObject({ id, name: text(40) })

/** POST /api/entries/{id}/signature */
export const signatureWanted = z.strictObject({
  id,
  person: id.optional().meta({ description: 'who signs, at a paired display; left out: who is signed in' }),
  secret: password.meta({ description: 'PIN or password, typed again' }),
})

/** POST /api/batches/{id}/review */
export const reviewWanted = z.strictObject({
  id,
  meaning: z.enum(['reviewed', 'approved']),
  secret: password.meta({ description: 'PIN or password, typed again: what is signed is this record' }),
  expected_seq: z.number().int().nonnegative().meta({
    description: 'newest entry of the batch that was looked at',
  }),
})

/** The newest review of a batch. */
export const review = z.object({
  meaning: z.enum(['reviewed', 'approved']),
  by: z.string(),
  at: time,
  ledger_entries: z.number(),
  ledger_head: z.string(),
  changed: z.boolean().meta({ description: 'entries of this batch were made since' }),
  also_worked: z.boolean().meta({ description: 'who reviewed it had also worked on the batch' }),
})

export const entries = z.object({ entries: z.array(entrySchema) })
