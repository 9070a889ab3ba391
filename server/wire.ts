import type { z } from 'zod'
import type * as alarm from './wire/alarm-schema.ts'
import type * as basics from './wire/basics-schema.ts'
import type * as bench from './wire/bench-schema.ts'
import type * as calibration from './wire/calibration-schema.ts'
import type * as chart from './wire/chart-schema.ts'
import type * as delivery from './wire/delivery-schema.ts'
import type * as instrument from './wire/instrument-schema.ts'
import type * as sheet from './wire/method-sheet-schema.ts'
import type * as people from './wire/people-schema.ts'
import type * as plan from './wire/plan-schema.ts'
import type * as record from './wire/record-schema.ts'
import type * as request from './wire/request-schema.ts'
import type * as setUp from './wire/set-up-schema.ts'
import type * as spot from './wire/spot-schema.ts'
import type * as trialPower from './wire/trial-power-schema.ts'
import type * as trialResult from './wire/trial-result-schema.ts'
import type * as trial from './wire/trial-schema.ts'
import type * as viewer from './wire/viewer-schema.ts'

/** The types that cross the wire. The web imports this file and nothing else of the server. */

export type Site = z.infer<typeof bench.site>
export type LiveBench = z.infer<typeof bench.liveBench>
export type Potency = z.infer<typeof bench.potency>
export type Phase = z.infer<typeof bench.phase>
export type BatchHead = z.infer<typeof bench.batchHead>
export type Estimate = z.infer<typeof basics.estimate>
export type FitSummary = z.infer<typeof bench.fitSummary>
export type Forecast = z.infer<typeof bench.forecast>
export type Verdict = z.infer<typeof bench.verdict>
export type AlarmView = z.infer<typeof bench.alarmView>
export type Decision = z.infer<typeof bench.decision>
export type Curves = z.infer<typeof chart.curves>
export type EnvelopePoint = z.infer<typeof chart.envelopePoint>
export type ReadingsAnswer = z.infer<typeof chart.readingsAnswer>
export type LiveReadings = z.infer<typeof chart.liveReadings>
export type Deliveries = z.infer<typeof delivery.deliveries>
export type Health = z.infer<typeof record.health>
export type RefusedReadings = z.infer<typeof record.refusedReadings>
export type Viewed = z.infer<typeof viewer.viewed>
export type BatchSummary = z.infer<typeof record.batchSummary>
export type BatchRecord = z.infer<typeof record.batchRecord>
export type Action = z.infer<typeof request.action>
export type SpotAnswer = z.infer<typeof spot.spotAnswer>
export type Act = z.infer<typeof request.act>
export type Acted = z.infer<typeof request.acted>
export type Acknowledge = z.infer<typeof request.acknowledge>
export type Calibrate = z.infer<typeof request.calibrate>
export type Shelve = z.infer<typeof request.shelve>
export type SetAlarm = z.infer<typeof request.setAlarm>
export type AlarmSettingView = z.infer<typeof alarm.alarmSettingView>
export type AlarmPerformanceView = z.infer<typeof alarm.alarmPerformanceView>
export type MethodSheetView = z.infer<typeof sheet.sheetView>
export type MethodSheetVersion = z.infer<typeof sheet.sheetVersionView>
export type MethodSheet = MethodSheetVersion['settings']
export type LotUsed = z.infer<typeof sheet.lotUsed>
export type PlanWanted = z.infer<typeof plan.planWanted>
export type Plan = z.infer<typeof plan.planAnswer>
export type TrialHead = z.infer<typeof trial.trialHead>
export type TrialView = z.infer<typeof trial.trialView>
export type TrialBatch = z.infer<typeof trial.trialBatchView>
export type TrialResult = z.infer<typeof trialResult.trialResult>
export type PrepTimeResult = z.infer<typeof trialResult.prepTimeResult>
export type ComparisonResult = z.infer<typeof trialResult.comparisonResult>
export type TrialSpread = z.infer<typeof trialResult.trialSpread>
export type TrialBound = z.infer<typeof trialResult.trialBound>
export type PlanTrial = z.infer<typeof trial.planTrial>
export type TrialWorking = z.infer<typeof trial.trialWorking>
export type TrialCurves = z.infer<typeof trial.trialCurves>
export type TrialPowerWanted = z.infer<typeof trialPower.trialPowerWanted>
export type TrialPower = z.infer<typeof trialPower.trialPower>
export type TrialSpreadSeen = z.infer<typeof trialPower.trialSpreadSeen>
export type Problem = z.infer<typeof request.problem>
export type Line = z.infer<typeof calibration.lineAnswer>
export type LineWanted = z.infer<typeof calibration.lineWanted>
export type ReferenceWanted = z.infer<typeof calibration.referenceWanted>
export type Reference = z.infer<typeof calibration.referenceAnswer>
export type CheckInstrument = z.infer<typeof request.checkInstrument>
export type StepWanted = z.infer<typeof calibration.stepWanted>
export type StepFound = z.infer<typeof calibration.stepAnswer>
export type StepEntered = z.infer<typeof calibration.stepEntered>
export type PastCheck = z.infer<typeof instrument.pastCheck>
export type Instrument = z.infer<typeof instrument.instrument>
export type InstrumentInDoubt = z.infer<typeof instrument.instrumentInDoubt>
export type PortsFound = z.infer<typeof setUp.portsAnswer>
export type ListenWanted = z.infer<typeof setUp.listenWanted>
export type TryWanted = z.infer<typeof setUp.tryWanted>
export type Tried = z.infer<typeof setUp.tryAnswer>
export type WiringFile = z.infer<typeof setUp.wiringAnswer>
export type WiringWanted = z.infer<typeof setUp.wiringWanted>
export type WiringChange = z.infer<typeof setUp.wiringChange>
export type WiringSaved = z.infer<typeof setUp.wiringSaved>
export type SessionView = z.infer<typeof people.session>
export type SignInWanted = z.infer<typeof people.signInWanted>
export type PinWanted = z.infer<typeof people.pinWanted>
export type LinkFound = z.infer<typeof people.linkFound>
export type LinkUsed = z.infer<typeof people.linkUsed>
export type PersonView = z.infer<typeof people.personView>
export type Invited = z.infer<typeof people.invited>
export type DisplayView = z.infer<typeof people.displayView>
export type SignatureWanted = z.infer<typeof people.signatureWanted>
export type ReviewWanted = z.infer<typeof people.reviewWanted>
export type Review = z.infer<typeof people.review>
export type RoleName = z.infer<typeof people.roleName>
export type { LineHeard, RegistersHeard, TapEvent } from '../ingest/tap/tap-event.ts'
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
