import type { z } from 'zod'
import type * as schema from './wire-schema.ts'

/** The types that cross the wire. The web imports this file and nothing else of the server. */

export type Site = z.infer<typeof schema.site>
export type LiveBench = z.infer<typeof schema.liveBench>
export type Potency = z.infer<typeof schema.potency>
export type Phase = z.infer<typeof schema.phase>
export type BatchHead = z.infer<typeof schema.batchHead>
export type Estimate = z.infer<typeof schema.estimate>
export type FitSummary = z.infer<typeof schema.fitSummary>
export type Forecast = z.infer<typeof schema.forecast>
export type Verdict = z.infer<typeof schema.verdict>
export type AlarmView = z.infer<typeof schema.alarmView>
export type Decision = z.infer<typeof schema.decision>
export type Curves = z.infer<typeof schema.curves>
export type EnvelopePoint = z.infer<typeof schema.envelopePoint>
export type ReadingsAnswer = z.infer<typeof schema.readingsAnswer>
export type LiveReadings = z.infer<typeof schema.liveReadings>
export type Health = z.infer<typeof schema.health>
export type BatchSummary = z.infer<typeof schema.batchSummary>
export type BatchRecord = z.infer<typeof schema.batchRecord>
export type Action = z.infer<typeof schema.action>
export type Act = z.infer<typeof schema.act>
export type Acted = z.infer<typeof schema.acted>
export type Acknowledge = z.infer<typeof schema.acknowledge>
export type Calibrate = z.infer<typeof schema.calibrate>
export type Problem = z.infer<typeof schema.problem>
export type Instrument = z.infer<typeof schema.instrument>
export type EntryView = Acted['entry']

/** socket.io: what the server sends. */
export interface ServerEvents {
  site: (site: Site) => void
  benches: (benches: LiveBench[]) => void
  live: (bench: LiveBench) => void
  readings: (readings: LiveReadings) => void
  curves: (curves: Curves) => void
  alarms: (alarms: AlarmView[]) => void
  entries: (news: { batch: string | null; bench: string | null; seq: number }) => void
}

/** socket.io: what a screen asks. `watch` joins the detailed stream of one bench; the answer is its present state. */
export interface ScreenEvents {
  watch: (bench: string, answer: (now: { live: LiveBench; curves: Curves } | null) => void) => void
  unwatch: (bench: string) => void
}
