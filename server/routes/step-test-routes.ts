import type { z } from 'zod'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { firstMoved, type StepRefusal, stepTest } from '../calibration/step-test.ts'
import { ServerError } from '../errors.ts'
import { entrySchema, type Who } from '../ledger/entry.ts'
import { whoOf } from '../people/caller.ts'
import type { Service } from '../service.ts'
import { stepAnswer, stepEntered, stepWanted } from '../wire/calibration-schema.ts'
import { appendInstrumentEntry, checkWired } from './instrument-entry.ts'
import type { Route } from './route.ts'

export const stepTestRoutes = (service: Service): Route[] => [
  {
    method: 'post',
    path: '/api/step-test',
    summary: 'Response time of a probe from its stored readings after it was moved; stores nothing',
    body: stepWanted,
    answer: stepAnswer,
    handle: ({ body }) => stepOf(body as z.infer<typeof stepWanted>, service),
  },
  {
    method: 'post',
    path: '/api/step-tests',
    summary: 'The same, entered: the response time counts for readings from the end of the test on',
    body: stepEntered,
    answer: entrySchema,
    handle: ({ body, caller }) => {
      const { who, ...entered } = body as z.infer<typeof stepEntered>
      return enter({ ...entered, who: whoOf(caller, who) }, service)
    },
  },
]

const enter = (
  { id, who, data }: Omit<z.infer<typeof stepEntered>, 'who'> & { readonly who: Who },
  service: Service,
) => {
  const found = stepOf(data, service)
  if (found.kind === 'refused')
    throw new ServerError('bad-request', `no response time came of this step test: ${found.words}`)
  const { tau_s, u_tau_s, area_tau_s, began_s, readings } = found
  const done = { ...data, tau_s, u_tau_s, area_tau_s, began_s, readings }
  return appendInstrumentEntry(service, { id, who, happened_at: data.to }, 'step-test', done)
}

/** Longer than any probe needs. */
const LONGEST_STEP_US = 3600e6
/** A step in a fluid is faster than a fluid changes by itself: what is marked for that counts here. */
const COUNTS = new Set(['good', 'implausible-rate', 'settling'])

const stepOf = (wanted: z.infer<typeof stepWanted>, service: Service): z.infer<typeof stepAnswer> => {
  const { instrument, channel, from, to } = wanted
  checkWired(service, instrument, channel)
  const [fromUs, toUs] = [usOf(from), usOf(to)]
  if (toUs <= fromUs || toUs - fromUs > LONGEST_STEP_US)
    throw new ServerError('bad-request', `to needs to be within an hour after from, got ${from} to ${to}`)
  const series = service.store.wiring().find((s) => s.instrument === instrument && s.channel === channel)
  const readings = series ? service.store.rangeNow(series, fromUs, toUs) : []
  const known = readings.flatMap((r) =>
    COUNTS.has(r.quality) && r.value !== null ? [{ s: (r.timeUs - fromUs) / 1e6, value: r.value }] : [],
  )
  return answerOf(
    Float64Array.from(known, (r) => r.s),
    Float64Array.from(known, (r) => r.value),
  )
}

const usOf = (iso: string): TimeUs => timeUs(Date.parse(iso) * 1000)

const answerOf = (timesS: Float64Array, shown: Float64Array): z.infer<typeof stepAnswer> => {
  const moved = firstMoved(shown)
  const step = stepTest(timesS.subarray(moved), shown.subarray(moved))
  if (step.kind === 'refused') return { ...step, words: REFUSED[step.why] }
  return {
    kind: 'fitted',
    tau_s: step.tauS,
    u_tau_s: step.uS,
    ci95_s: [...step.ci95S],
    area_tau_s: step.areaTauS,
    differ: step.differ,
    began_s: Math.max(0, timesS[moved] ?? 0),
    readings: shown.length - moved,
    from_value: shown[0] ?? Number.NaN,
    to_value: shown.at(-1) ?? Number.NaN,
  }
}

const REFUSED: Readonly<Record<StepRefusal, string>> = {
  'too-few-readings': 'there are too few readings between the two marks',
  'no-convergence': 'the readings do not follow one step from one level to another',
  'no-change': 'the readings did not change between the two marks',
  'noise-not-estimated': 'the scatter of the readings could not be told',
  'too-short':
    'the value had not settled yet: wait at least five times as long as it takes to get two thirds of the way',
}
