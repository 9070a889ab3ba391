import { z } from 'zod'
import { withOutcome } from '../calibration/check-outcome.ts'
import { pastChecks } from '../calibration/instrument-history.ts'
import { lineFromPoints } from '../calibration/line-from-points.ts'
import { linearityOf } from '../calibration/linearity-found.ts'
import { checkSamples } from '../calibration/point-samples.ts'
import { referenceValue } from '../calibration/reference-value.ts'
import { entrySchema } from '../ledger/entry.ts'
import { whoOf } from '../people/caller.ts'
import type { Service } from '../service.ts'
import { lineAnswer, lineWanted, referenceAnswer, referenceWanted } from '../wire/calibration-schema.ts'
import { instrumentInDoubt, pastCheck } from '../wire/instrument-schema.ts'
import { calibrate, checkInstrument } from '../wire/request-schema.ts'
import type { Line } from '../wire.ts'
import { appendInstrumentEntry, checkWired } from './instrument-entry.ts'
import { unwiredInDoubt } from './instrument-views.ts'
import type { Route } from './route.ts'

export const calibrationRoutes = (service: Service): Route[] => [
  {
    method: 'post',
    path: '/api/calibrations',
    summary: 'Record a calibration: it applies to readings from its time on',
    body: calibrate,
    answer: entrySchema,
    handle: ({ body, caller }) => {
      const { id, who: typed, happened_at, data } = body as z.infer<typeof calibrate>
      checkWired(service, data.instrument, data.channel)
      checkSamples(data.points ?? [])
      return appendInstrumentEntry(
        service,
        { id, who: whoOf(caller, typed), happened_at },
        'calibration',
        data,
      )
    },
  },
  {
    method: 'post',
    path: '/api/instrument-checks',
    summary: 'Record that any instrument was held against a reference; the server says whether it passed',
    body: checkInstrument,
    answer: entrySchema,
    handle: ({ body, caller }) => {
      const { id, who: typed, happened_at, data } = body as z.infer<typeof checkInstrument>
      return appendInstrumentEntry(
        service,
        { id, who: whoOf(caller, typed), happened_at },
        'instrument-check',
        withOutcome(data),
      )
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
    method: 'get',
    path: '/api/batches-in-doubt',
    summary: 'Batches since the last good check of instruments that are not wired, where one was found off',
    answer: z.array(instrumentInDoubt),
    handle: () => unwiredInDoubt(service),
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
]

const lineOf = (wanted: z.infer<typeof lineWanted>): Line => {
  const { points, shared_percent: sharedPercent, zero_known: zeroKnown, limit_percent: limit } = wanted
  const line = lineFromPoints({ points, sharedPercent, ...(zeroKnown ? { zeroKnown } : {}) })
  if (line.kind === 'refused') return line
  return {
    kind: 'line',
    slope: line.slope.value,
    u_slope_percent: (100 * line.slope.u) / line.slope.value,
    zero: line.zero.value,
    u_zero: line.zero.u,
    linearity: linearityOf(points, limit),
  }
}
