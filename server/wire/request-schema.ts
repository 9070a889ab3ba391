import { z } from 'zod'
import { alarmSetting } from '../alarm/alarm-setting.ts'
import { checkTyped } from '../ledger/calibration-entry.ts'
import {
  batchOpened,
  calibration,
  drawnUp,
  entrySchema,
  handReading,
  note,
  stepTicked,
  text,
} from '../ledger/entry.ts'
import { spotTaken } from '../ledger/spot-entry.ts'
import { time, typedName } from './basics-schema.ts'
import { batchHead } from './bench-schema.ts'

/** What people send, and what they get back. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

/** What a person may enter. The server fills in number, amounts left and the value at draw. */
export const action = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('batch-opened'), data: batchOpened }),
  z.strictObject({ kind: z.literal('step-ticked'), data: stepTicked }),
  z.strictObject({ kind: z.literal('ozone-on') }),
  z.strictObject({ kind: z.literal('ozone-off') }),
  z.strictObject({ kind: z.literal('flow-off') }),
  z.strictObject({ kind: z.literal('disconnected') }),
  z.strictObject({ kind: z.literal('probe-in') }),
  z.strictObject({ kind: z.literal('probe-out') }),
  z.strictObject({ kind: z.literal('drawn-up'), data: drawnUp }),
  z.strictObject({ kind: z.literal('discarded') }),
  z.strictObject({ kind: z.literal('reading-by-hand'), data: handReading }),
  z.strictObject({ kind: z.literal('spot-reading'), data: spotTaken }),
  z.strictObject({ kind: z.literal('note'), data: note }),
  z.strictObject({ kind: z.literal('undone'), data: z.strictObject({ entry: z.uuid().toLowerCase() }) }),
])

/** POST /api/batches/{id}/entries */
export const act = z.strictObject({
  id: z.uuid().toLowerCase().meta({
    description: 'made by the client (UUIDv7), read without regard to case: sending it again changes nothing',
  }),
  bench: z.string().min(1).max(40),
  who: typedName,
  happened_at: time.optional().meta({ description: 'now when left out; never in the future' }),
  expected_seq: z.number().int().nonnegative(),
  why: text(500).optional(),
  entry: action,
})

/** POST /api/alarms/{key}/acknowledgement */
export const acknowledge = z.strictObject({
  id: z.uuid(),
  who: typedName,
  why: text(500).optional(),
})

/** POST /api/alarms/{key}/shelving: put aside for a while, with the reason. */
export const shelve = z.strictObject({
  id: z.uuid(),
  who: typedName,
  why: text(500),
  minutes: z.number().int().min(1).max(30).meta({ description: 'at most 30 at a bench' }),
})

/** POST /api/alarms/{key}/unshelving */
export const unshelve = acknowledge

/** POST /api/alarms/settings */
export const setAlarm = z.strictObject({
  id: z.uuid(),
  who: typedName,
  why: text(500),
  setting: alarmSetting,
})

/** POST /api/instrument-checks */
export const checkInstrument = z.strictObject({
  id: z.uuid().toLowerCase(),
  who: typedName,
  happened_at: time.optional(),
  data: checkTyped,
})

/** POST /api/calibrations */
export const calibrate = z.strictObject({
  id: z.uuid().toLowerCase(),
  who: typedName,
  happened_at: time.optional(),
  data: calibration,
})

export const acted = z.object({
  entry: entrySchema,
  head: batchHead,
  undo_until: time.nullable().meta({ description: 'until then an `undone` entry takes it back' }),
})

/** RFC 9457. `entries` holds the newer entries on a 409. */
export const problem = z.object({
  type: z.string(),
  title: z.string(),
  status: z.number(),
  detail: z.string(),
  fix: z.string().optional(),
  entries: z.array(entrySchema).optional(),
})
