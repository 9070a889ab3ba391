import { z } from 'zod'
import { alarmSetting } from '../alarm/alarm-setting.ts'
import { calibrationDetails, instrumentCheck, stepTestDone } from './calibration-entry.ts'
import { fromSheet, sheetRules, sheetVersion } from './method-sheet-entry.ts'
import { PEOPLE_ENTRY_DATA } from './people-entry.ts'
import { spotReading } from './spot-entry.ts'
import { text } from './text.ts'
import { trialBatch, trialClosed, trialId, trialPlanOf } from './trial-entry.ts'

export { text } from './text.ts'

/**
 * Ledger entries: what people and the program did. Append-only; nothing is ever edited or deleted.
 * Each kind has its own data; the envelope (who, when, where, why) is the same for all.
 */

export const GAS_REFERENCES = [
  'normal-0c-101kpa',
  'stp-0c-100kpa',
  '15c-101kpa',
  '20c-101kpa',
  '25c-100kpa',
  'ambient',
] as const

const positive = (max: number) => z.number().positive().max(max)

export const gasSetting = z.strictObject({
  ug_per_ml: positive(300).meta({ description: 'ozone in the gas, µg/mL at the stated reference state' }),
  reference: z.enum(GAS_REFERENCES),
})

export const batchOpened = z.strictObject({
  fluid: z.enum(['saline', 'distilled', 'filtered', 'other']),
  fluid_detail: text(80).optional(),
  lot: text(60).optional(),
  volume_ml: z.number().min(10).max(5000),
  target_mg_l: positive(200).optional(),
  gas: gasSetting.optional(),
  flow_ml_per_min: positive(10_000).optional(),
  prep_min: positive(240).optional(),
  age_limit_min: positive(2880).optional(),
  lead_time_min: z.number().min(2).max(120).optional(),
  measuring_place: z.enum(['in-the-flask', 'dipped', 'flow-cell', 'aliquot', 'companion-flask']),
  temperature_c: z.number().min(0).max(40).optional().meta({ description: 'planned for the fluid, °C' }),
  purge: z.enum(['through-the-fluid', 'tube-lifted-clear', 'bypass-to-destruct', 'none']),
  method_sheet: sheetVersion.optional().meta({
    description: 'the approved version it is opened by; left out: without a method sheet',
  }),
  trial: trialId.optional().meta({ description: 'the trial it is made for' }),
})

const settings = batchOpened.shape

/** The settings a clinic approves for one fluid, volume and generator setting; no default for any of them. */
export const methodSheet = batchOpened.omit({ lot: true, method_sheet: true, trial: true }).extend({
  target_mg_l: settings.target_mg_l.unwrap(),
  gas: settings.gas.unwrap(),
  flow_ml_per_min: settings.flow_ml_per_min.unwrap(),
  prep_min: settings.prep_min.unwrap(),
  age_limit_min: settings.age_limit_min.unwrap(),
  lead_time_min: settings.lead_time_min.unwrap(),
  ...sheetRules,
  prep_time_shown_by: trialId.optional().meta({
    description: 'the closed trial that showed this prep time, for this fluid, volume and setting',
  }),
})

export const trialPlan = trialPlanOf(
  {
    volume_ml: settings.volume_ml,
    flow_ml_per_min: settings.flow_ml_per_min.unwrap(),
    target_mg_l: settings.target_mg_l.unwrap(),
    prep_min: settings.prep_min.unwrap(),
  },
  { gas: gasSetting, purge: settings.purge, place: settings.measuring_place },
)

export const handReading = z.strictObject({
  quantity: z.enum(['dissolved-ozone', 'fluid-temperature']),
  value: z.number().min(-5).max(300).meta({ description: 'mg/L for dissolved ozone, °C for temperature' }),
  u_percent: positive(100).optional().meta({ description: 'standard uncertainty of the method, % of value' }),
  method: text(80),
})

export const stepTicked = z.strictObject({ step: text(40), text: text(200) })
export const note = z.strictObject({ text: text(1000) })

export const drawnUp = z.strictObject({
  ml: positive(5000),
  opaque_reference: text(40).optional(),
})

/** What the program knew about the fluid when it was drawn; written by the server, never by the client. */
export const valueAtDraw = z.strictObject({
  value_mg_l: z.number(),
  low_mg_l: z.number().nullable(),
  high_mg_l: z.number().nullable(),
  basis: z.enum(['measured', 'estimate']),
  calibrated: z.boolean(),
})

export const calibration = z.strictObject({
  instrument: text(60),
  channel: text(40),
  slope: z.number().positive().max(10),
  zero: z.number().min(-50).max(50),
  u_slope_percent: z.number().min(0).max(50),
  u_zero: z.number().min(0).max(20),
  tau_s: z.number().min(0).max(600).optional().meta({ description: 'probe response time (63.2 %), s' }),
  u_tau_s: z.number().min(0).max(300).optional(),
  method: text(120),
  fluid: z.enum(['saline', 'distilled', 'filtered', 'other']).optional(),
  fluid_detail: text(80).optional(),
  senses: z.enum(['activity', 'concentration']).optional().meta({
    description:
      'what the probe answers to: activity (behind a membrane; depends on salt and temperature) or concentration',
  }),
  ...calibrationDetails,
})

const nothing = z.strictObject({})

/** Data of each kind of entry. The keys are the closed list of kinds. */
export const ENTRY_DATA = {
  'batch-opened': batchOpened.extend({ number: text(60), from_sheet: fromSheet.optional() }),
  'step-ticked': stepTicked,
  'ozone-on': nothing,
  'ozone-off': nothing,
  'flow-off': nothing,
  disconnected: nothing,
  'probe-in': nothing,
  'probe-out': nothing,
  'drawn-up': drawnUp.extend({ left_ml: z.number(), at_draw: valueAtDraw.nullable() }),
  'bubbled-again': nothing,
  discarded: nothing,
  'reading-by-hand': handReading,
  'spot-reading': spotReading,
  note,
  undone: z.strictObject({ entry: z.uuid() }),
  correction: z.strictObject({
    entry: z.uuid(),
    field: text(40),
    old: z.unknown(),
    new: z.unknown(),
  }),
  'hand-over': z.strictObject({ to: text(60) }),
  alarm: z.strictObject({
    alarm: text(60),
    from: text(40),
    to: text(40),
    priority: text(20),
    text: text(300),
    until: z.iso.datetime().optional().meta({ description: 'shelved until then' }),
  }),
  'alarm-setting': alarmSetting,
  'method-sheet-written': sheetVersion.extend({ settings: methodSheet }),
  'method-sheet-approved': sheetVersion,
  'method-sheet-withdrawn': sheetVersion,
  'trial-planned': z.strictObject({ trial: trialId, plan: trialPlan }),
  'trial-changed': z.strictObject({ trial: trialId, plan: trialPlan }),
  'trial-batch-joined': trialBatch,
  'trial-batch-excluded': trialBatch,
  'trial-closed': trialClosed,
  calibration,
  'instrument-check': instrumentCheck,
  'step-test': stepTestDone,
  'results-kept': z.strictObject({
    batch: z.uuid(),
    sha256: z.string().regex(/^[0-9a-f]{64}$/),
    ledger_entries: z.number().int(),
    program: text(60),
  }),
  'from-daemon': z.strictObject({
    event: z.number().int(),
    kind: text(40),
    detail: z.record(z.string(), z.unknown()),
  }),
  ...PEOPLE_ENTRY_DATA,
} as const

export type EntryKind = keyof typeof ENTRY_DATA
export type EntryData<K extends EntryKind> = z.infer<(typeof ENTRY_DATA)[K]>

export const who = z.strictObject({
  name: text(60),
  how: z.enum(['typed', 'signed-in', 'program', 'unsigned']).meta({
    description: 'unsigned: entered at a paired display before anybody said who; see entries of kind signed',
  }),
})
export type Who = z.infer<typeof who>

const envelope = z.strictObject({
  id: z.uuid(),
  seq: z.number().int().positive(),
  happened_at: z.iso.datetime(),
  entered_at: z.iso.datetime(),
  bench: text(40).nullable(),
  batch: z.uuid().nullable(),
  who,
  why: text(500).nullable(),
})

/** An entry as stored: `prev` is the hash before it, `hash` its own (see `hash-chain.ts`). */
export type Entry = {
  [K in EntryKind]: z.infer<typeof envelope> & { kind: K; data: EntryData<K>; prev: string; hash: string }
}[EntryKind]

export type EntryOf<K extends EntryKind> = Extract<Entry, { kind: K }>

/** The same as one loose schema for documentation and answers. */
export const entrySchema = envelope.extend({
  kind: z.enum(Object.keys(ENTRY_DATA) as [EntryKind, ...EntryKind[]]),
  data: z.record(z.string(), z.unknown()),
  prev: z.string(),
  hash: z.string(),
})
