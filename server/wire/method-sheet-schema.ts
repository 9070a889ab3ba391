import { z } from 'zod'
import { methodSheet, text } from '../ledger/entry.ts'
import { sheetFaults } from '../method-sheet/sheet-faults.ts'
import { time, typedName } from './basics-schema.ts'

/** Method sheets, as they are written, approved, withdrawn and shown. Units are in the names; times are ISO 8601 in UTC. */

const deed = z.object({
  at: time,
  by: z.string(),
  how: z.enum(['typed', 'signed-in', 'program', 'unsigned']),
  why: z.string().nullable(),
})

export const sheetVersionView = z.object({
  sheet: z.uuid(),
  version: z.number(),
  state: z.enum(['waiting', 'in-force', 'replaced', 'withdrawn']),
  settings: methodSheet,
  written: deed,
  approved: deed.nullable(),
  withdrawn: deed.nullable(),
  prep_time_trial: z
    .object({
      id: z.uuid(),
      title: z.string(),
      closed_at: time,
      closed_by: z.string(),
      benches: z.array(z.string()),
      batches: z.number(),
      confidence_percent: z.number(),
      coverage_percent: z.number(),
    })
    .nullable()
    .meta({ description: 'the trial that showed its prep time; null: not shown by a trial' }),
})

/** GET /api/method-sheets */
export const sheetView = z.object({
  sheet: z.uuid(),
  in_force: sheetVersionView.nullable(),
  versions: z.array(sheetVersionView).meta({ description: 'newest first' }),
})

const change = {
  id: z
    .uuid()
    .toLowerCase()
    .meta({ description: 'made by the client (UUIDv7): the same again changes nothing' }),
  who: typedName,
}

/** Each number in its range and all of them together: every fault in one answer, also beside those of the schema. */
const goingTogether = methodSheet.superRefine(
  (settings: unknown, context) => {
    if (typeof settings !== 'object' || settings === null) return
    for (const { path, message } of sheetFaults(settings))
      context.addIssue({ code: 'custom', path: [...path], message })
  },
  { when: () => true },
)

/** POST /api/method-sheets/{id}/versions: the client makes the id of a new sheet. */
export const writeSheet = z.strictObject({
  ...change,
  why: text(500).optional(),
  after_version: z.number().int().min(0).meta({ description: 'newest version seen; 0: a new sheet' }),
  settings: goingTogether,
})

const version = z.number().int().min(1)

/** POST /api/method-sheets/{id}/approval: by another person than the writer. */
export const approveSheet = z.strictObject({ ...change, why: text(500).optional(), version })

/** POST /api/method-sheets/{id}/withdrawal: with the reason. */
export const withdrawSheet = z.strictObject({ ...change, why: text(500), version })

/** GET /api/lots: lots used last, newest first. */
export const lotUsed = z.object({ lot: z.string(), fluid: z.string(), used_at: time })
