import { z } from 'zod'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { pastChecks } from '../calibration/instrument-history.ts'
import { againstLimit, linearity, lineFromPoints } from '../calibration/line-from-points.ts'
import { referenceValue } from '../calibration/reference-value.ts'
import { type StepTest, stepTest } from '../calibration/step-test.ts'
import { ServerError } from '../errors.ts'
import { type EntryData, entrySchema } from '../ledger/entry.ts'
import type { Service } from '../service.ts'
import {
  lineAnswer,
  lineWanted,
  referenceAnswer,
  referenceWanted,
  stepAnswer,
  stepWanted,
} from '../wire/calibration-schema.ts'
import { pastCheck } from '../wire/record-schema.ts'
import { calibrate, checkInstrument } from '../wire/request-schema.ts'
import type { Line } from '../wire.ts'
import type { Route } from './route.ts'

export const calibrationRoutes = (service: Service): Route[] => [
  {
    method: 'post',
    path: '/api/calibrations',
    summary: 'Record a calibration: it applies to readings from its time on',
    body: calibrate,
    answer: entrySchema,
    handle: ({ body }) => {
      const { id, who, happened_at, data } = body as z.infer<typeof calibrate>
      checkWired(service, data.instrument, data.channel)
      return append(service, { id, who, happened_at }, 'calibration', data)
    },
  },
  {
    method: 'post',
    path: '/api/instrument-checks',
    summary: 'Record that any instrument was held against a reference; the server says whether it passed',
    body: checkInstrument,
    answer: entrySchema,
    handle: ({ body }) => {
      const { id, who, happened_at, data } = body as z.infer<typeof checkInstrument>
      const off = {
        value: data.found - data.expected,
        u: Math.hypot(data.u_found ?? 0, data.u_expected ?? 0),
      }
      const outcome = againstLimit(off, data.limit)
      return append(service, { id, who, happened_at }, 'instrument-check', { ...data, outcome })
    },
  },
  {
    method: 'get',
    path: '/api/instrument-checks',
    summary: 'Checks of instruments, newest first, and which are overdue',
    answer: z.array(pastCheck),
    handle: () => pastChecks(service.ledger.ofKind('instrument-check'), service.clock.nowMs()),
  },
  {
    method: 'post',
    path: '/api/calibration-line',
    summary: 'Slope and zero from reference points, with their uncertainties; stores nothing',
    body: lineWanted,
    answer: lineAnswer,
    handle: ({ body }) => lineOf(body as z.infer<typeof lineWanted>),
  },
  {
    method: 'post',
    path: '/api/reference-value',
    summary: 'A reference value by indigo, DPD or UV, with its uncertainty; stores nothing',
    body: referenceWanted,
    answer: referenceAnswer,
    handle: ({ body }) => referenceValue(body as z.infer<typeof referenceWanted>),
  },
  {
    method: 'post',
    path: '/api/step-test',
    summary: 'Response time of a probe from its readings after it was moved; stores nothing',
    body: stepWanted,
    answer: stepAnswer,
    handle: ({ body }) => stepOf(body as z.infer<typeof stepWanted>, service),
  },
]

interface By {
  readonly id: string
  readonly who: string
  readonly happened_at: string | undefined
}

const append = <K extends 'calibration' | 'instrument-check'>(
  { clock, ledger }: Service,
  { id, who, happened_at }: By,
  kind: K,
  data: EntryData<K>,
) => {
  const now = new Date(clock.nowMs()).toISOString()
  if (happened_at !== undefined && Date.parse(happened_at) > clock.nowMs())
    throw new ServerError('bad-request', 'happened_at lies in the future')
  return ledger.append<K>({
    id,
    happened_at: happened_at ?? now,
    entered_at: now,
    bench: null,
    batch: null,
    who: { name: who, how: 'typed' },
    kind,
    data,
  }).entry
}

const checkWired = ({ store }: Service, instrument: string, channel: string): void => {
  if (store.wiring().some((s) => s.instrument === instrument && s.channel === channel)) return
  throw new ServerError('not-found', `${instrument} has no channel ${channel}`, {
    fix: 'see /api/instruments',
  })
}

const lineOf = (wanted: z.infer<typeof lineWanted>): Line => {
  const { points, shared_percent: sharedPercent, zero_known: zeroKnown, limit_percent: limit } = wanted
  const line = lineFromPoints({ points, sharedPercent, ...(zeroKnown ? { zeroKnown } : {}) })
  if (line.kind === 'refused') return line
  const straight = limit === undefined ? undefined : linearity(points, limit)
  return {
    kind: 'line',
    slope: line.slope.value,
    u_slope_percent: (100 * line.slope.u) / line.slope.value,
    zero: line.zero.value,
    u_zero: line.zero.u,
    linearity: straight
      ? {
          word: straight.word,
          furthest_percent: straight.furthestPercent.value,
          u_percent: straight.furthestPercent.u,
        }
      : null,
  }
}

/** Longer than any probe needs. */
const LONGEST_STEP_US = 3600e6

const stepOf = (wanted: z.infer<typeof stepWanted>, service: Service): z.infer<typeof stepAnswer> => {
  const { instrument, channel, from, to } = wanted
  checkWired(service, instrument, channel)
  const [fromUs, toUs] = [usOf(from), usOf(to)]
  if (toUs <= fromUs || toUs - fromUs > LONGEST_STEP_US)
    throw new ServerError('bad-request', `to needs to be within an hour after from, got ${from} to ${to}`)
  const series = service.store.wiring().find((s) => s.instrument === instrument && s.channel === channel)
  const readings = series ? service.store.rangeNow(series, fromUs, toUs) : []
  const good = readings.flatMap((r) =>
    r.quality === 'good' && r.value !== null ? [{ s: (r.timeUs - fromUs) / 1e6, value: r.value }] : [],
  )
  return answerOf(
    stepTest(
      Float64Array.from(good, (r) => r.s),
      Float64Array.from(good, (r) => r.value),
    ),
  )
}

const usOf = (iso: string): TimeUs => timeUs(Date.parse(iso) * 1000)

const answerOf = (step: StepTest): z.infer<typeof stepAnswer> =>
  step.kind === 'refused'
    ? step
    : {
        kind: 'fitted',
        tau_s: step.tauS,
        u_tau_s: step.uS,
        ci95_s: [...step.ci95S],
        area_tau_s: step.areaTauS,
        differ: step.differ,
      }
