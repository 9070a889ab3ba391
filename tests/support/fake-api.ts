import type { IncomingMessage, ServerResponse } from 'node:http'
import { alarmPerformance } from '../../server/alarm/performance.ts'
import type { EntryOf } from '../../server/ledger/entry.ts'
import { planOf } from '../../server/planner/plan.ts'
import { settingViews } from '../../server/routes/alarm-setting-view.ts'
import { planInputOf } from '../../server/routes/plan-routes.ts'
import type {
  Act,
  BatchRecord,
  BatchSummary,
  EntryView,
  Health,
  Instrument,
  Line,
  LiveBench,
  PlanWanted,
  ReadingsAnswer,
  RefusedReadings,
} from '../../server/wire.ts'
import { BATCH_ID, fakeBatch, fakeCurves, fakeValue, iso, standing } from './fake-bench.ts'
import { fakeDeliveries } from './fake-deliveries.ts'
import { FAKE_ENTRIES, fakeEntry } from './fake-entries.ts'
import { FAKE_PORTS, FAKE_WIRING } from './fake-ports.ts'
import type { FakeState } from './fake-server.ts'

const ALARM_CHANGES = (now: number) =>
  FAKE_ENTRIES(now).filter((e) => e.kind === 'alarm') as EntryOf<'alarm'>[]

/** The stand-in's answers under /api. */
export const fakeApi = async (
  state: FakeState,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> => {
  const url = new URL(request.url ?? '/', 'http://here')
  const send = (status: number, body: unknown): void => {
    response.writeHead(status, {
      'content-type': status < 400 ? 'application/json' : 'application/problem+json',
    })
    response.end(JSON.stringify(body))
  }
  if (request.method === 'POST') return acted(state, url.pathname, await bodyOf(request), send)
  const now = Date.now()
  const benches = state.benches(now)
  switch (url.pathname) {
    case '/api/site':
      return send(200, state.site)
    case '/api/benches':
      return send(200, benches)
    case '/api/alarms':
      return send(200, state.alarms(now))
    case '/api/alarms/history':
      return send(200, { entries: ALARM_CHANGES(now) })
    case '/api/alarms/settings':
      return send(200, settingViews([]))
    case '/api/alarms/performance':
      return send(200, alarmPerformance(ALARM_CHANGES(now), now, 30))
    case '/api/deliveries':
      return send(200, fakeDeliveries(now))
    case '/api/readings':
      return send(200, readings(benches, url.searchParams))
    case '/api/batches':
      return send(
        200,
        summaries(now).filter((s) => [null, '', s.head.fluid].includes(url.searchParams.get('fluid'))),
      )
    case '/api/method-sheets':
      return send(200, state.sheets(now))
    case '/api/lots':
      return send(
        200,
        ['L 4471', 'L 4460', 'L 4402'].map((lot) => ({ lot, fluid: 'saline', used_at: iso(now) })),
      )
    case '/api/instruments':
      return send(200, instruments(now))
    case '/api/instrument-checks':
      return send(
        200,
        instruments(now).flatMap((i) => i.checks),
      )
    case '/api/batches-in-doubt':
      return send(200, [
        {
          instrument: 'flowmeter bench A',
          kind: 'flowmeter',
          failed_at: iso(now - 4 * 86_400_000),
          good_since: null,
          batches: [{ id: '01900000-0000-7000-8000-000000000001', number: 'A-2026-03-14-1' }],
        },
      ])
    case '/api/ports':
      return send(200, FAKE_PORTS)
    case '/api/wiring':
      return send(200, FAKE_WIRING)
    case '/api/session':
      return send(200, { set_up: false, person: null, display: null })
    case '/api/health':
      return send(200, health(now))
    case '/api/forwarding/refused':
      return send(200, {
        count: REFUSED,
        readings: refused(now).slice(0, Number(url.searchParams.get('limit'))),
      })
    default:
      if (url.pathname === '/api/batches/kept') return send(200, keptRecord(now, benches))
      return url.pathname.startsWith('/api/batches/') ? send(200, record(now, benches)) : send(404, notFound)
  }
}

const notFound = {
  type: 'about:blank',
  title: 'Not found',
  status: 404,
  detail: 'There is nothing at this address.',
}

const acted = (
  state: FakeState,
  path: string,
  body: Act,
  send: (status: number, body: unknown) => void,
): void => {
  const { refuse } = state
  state.refuse = null
  if (refuse !== null) send(refuse.status, { type: 'about:blank', title: 'Refused', ...refuse })
  else take(state, path, body, send)
}

const take = (
  state: FakeState,
  path: string,
  body: Act,
  send: (status: number, body: unknown) => void,
): void => {
  state.posted.push({ path, body })
  if (path === '/api/wiring/check') {
    send(200, { faults: ['site.name needs string, got nothing', 'instruments[0].channels needs one'] })
    return
  }
  if (path === '/api/plan') {
    send(200, planOf(planInputOf(body as unknown as PlanWanted), []))
    return
  }
  if (path === '/api/calibration-line') {
    send(200, FOUND_LINE)
    return
  }
  const now = Date.now()
  const entry = fakeEntry(now, { id: body.id, who: { name: body.who ?? '', how: 'typed' } })
  const kind = body.entry?.kind ?? (path.includes('calibrations') ? 'calibration' : 'alarm')
  const data = body.entry !== undefined && 'data' in body.entry ? body.entry.data : {}
  send(201, {
    entry: { ...entry, kind, data, happened_at: body.happened_at ?? iso(now) },
    head: fakeBatch(now, { seq: (body.expected_seq ?? 0) + 1 }),
    undo_until: iso(now + 10_000),
  })
}

/** What the server answers for two points, 0 → 0.2 and 20 → 19.2. */
const FOUND_LINE: Line = {
  kind: 'line',
  slope: 0.95,
  u_slope_percent: 2.0848,
  zero: 0.2,
  u_zero: 0.05,
  linearity: null,
}

const bodyOf = async (request: IncomingMessage): Promise<Act> => {
  const parts: Buffer[] = []
  for await (const part of request) parts.push(part as Buffer)
  return JSON.parse(Buffer.concat(parts).toString()) as Act
}

/** Readings every 2 s with a small made-up scatter, and a gap of one minute that the chart must not bridge. */
const readings = (benches: LiveBench[], query: URLSearchParams): ReadingsAnswer => {
  const live = benches.find((b) => b.bench === query.get('bench'))
  const from = Date.parse(query.get('from') ?? '')
  const to = Date.parse(query.get('to') ?? '')
  const many = live?.batch === null ? 0 : Math.min(3600, Math.floor((to - from) / 2000))
  const points = Array.from({ length: many }, (_, i) => {
    const t_min = (i * 2) / 60
    const value =
      fakeValue(t_min, live?.phase.kind === 'standing') + 0.25 * Math.sin(i * 1.7) * Math.cos(i * 0.31)
    const mean = t_min > 8 && t_min < 9 ? null : value
    return {
      time_us: (from + i * 2000) * 1000,
      min: mean,
      max: mean,
      mean,
      count: 1,
      not_good: i % 97 === 3 ? 1 : 0,
    }
  })
  return {
    bench: query.get('bench') ?? '',
    channel: 'dissolved-ozone',
    unit: 'mg/L',
    from: iso(from),
    to: iso(to),
    calibrated: true,
    points,
  }
}

const summaries = (now: number): BatchSummary[] => {
  const fits = standing(now).fits
  const of = (n: number, fluid: 'saline' | 'distilled', bound: boolean): BatchSummary => ({
    head: fakeBatch(now - n * 86_400_000, {
      id: BATCH_ID.slice(0, -1) + n,
      number: `A-2026-03-0${n}-1`,
      fluid,
      discarded_at: iso(now - n * 86_400_000),
      phase: { kind: 'discarded', since: iso(now - n * 86_400_000) },
    }),
    plateau_mg_l: bound
      ? { value: null, low: 31, high: null, bound: 'at-least', why: 'clipped' }
      : (fits[0]?.plateau_mg_l ?? null),
    t95_min: bound ? null : (fits[0]?.t95_min ?? null),
    half_life_min: fits[1]?.half_life_min ?? null,
    half_life_20c_min: fits[1]?.half_life_20c_min ?? null,
    mean_temperature_c: 8.4,
    measured_against: [n === 3 ? 'uv, ε 3000' : 'indigo'],
  })
  return [of(1, 'saline', false), of(2, 'distilled', true), of(3, 'saline', false)]
}

/** A batch whose raw readings were removed since. */
const keptRecord = (now: number, benches: LiveBench[]): BatchRecord => ({
  ...record(now, benches),
  readings_removed_before: iso(now - 10 * 86_400_000),
  results_kept: { at: iso(now - 40 * 86_400_000), newer_entries: true },
})

const record = (now: number, benches: LiveBench[]): BatchRecord => {
  const live = benches.find((b) => b.batch !== null) ?? standing(now)
  const head = live.batch ?? fakeBatch(now)
  const entries: EntryView[] = FAKE_ENTRIES(now)
  return {
    summary: {
      head,
      plateau_mg_l: live.fits[0]?.plateau_mg_l ?? null,
      t95_min: live.fits[0]?.t95_min ?? null,
      half_life_min: live.fits[1]?.half_life_min ?? null,
      half_life_20c_min: live.fits[1]?.half_life_20c_min ?? null,
      mean_temperature_c: 8.4,
      measured_against: ['indigo'],
    },
    entries,
    fits: live.fits,
    verdicts: live.verdicts,
    notes: live.notes,
    review: null,
    gaps: [{ from: iso(now - 4 * 60_000), to: iso(now - 3 * 60_000) }],
    readings_removed_before: null,
    results_kept: null,
    calibration: live.potency.calibration,
    ledger_head: 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c',
    ledger_entries: 412,
    worked_from: {
      program: 'spargewatch 0.1.0',
      analysis: 'spargewatch.analysis/1',
      ledger_entries: 412,
      readings_seq: 1_204_331,
      at: iso(now),
      meter: 'meter-a',
      readings: 1812,
      set_aside: 14,
      temperature_readings: 1812,
      calibrations: [
        {
          at: iso(now - 12 * 86_400_000),
          entered_at: iso(now - 11 * 86_400_000),
          method: 'indigo, dye lot 7',
          slope: 0.98,
          zero_mg_l: 0.05,
          u_slope_percent: 3,
          u_zero_mg_l: 0.1,
          readings: 1752,
          compensation: 'membrane-and-solubility',
          fluid_factor: { low: 0.968, high: 0.969 },
        },
      ],
      uncalibrated_readings: 0,
      readings_not_for_this_fluid: 0,
      readings_not_for_this_temperature: 0,
      probe_lag_s: { tau: 13, u: 2 },
      full_scale_mg_l: 50,
      earlier_batches: 12,
      earlier_batches_other_reference: 3,
      input_sha256: 'c0535e4be2b79ffd93291305436bf889314e4a3faec05ecffcbb7df31ad9e51a',
      command:
        'npx spargewatch export A-2026-03-14-1 --what all --ledger-entries 412 --readings 1204331 --at 2026-03-14T10:00:00.000Z',
    },
    curves: fakeCurves(now, live),
  }
}

const instruments = (now: number): Instrument[] => [
  {
    instrument: 'meter-a',
    bench: 'A',
    port: 'usb-a',
    channels: [
      { channel: 'dissolved-ozone', unit: 'mg/L', last_value: 18.2, last_at: iso(now - 1000) },
      { channel: 'fluid-temperature', unit: '°C', last_value: 8.4, last_at: iso(now - 1000) },
    ],
    calibration: {
      at: iso(now - 12 * 86_400_000),
      method: 'indigo, dye lot 7',
      due_at: iso(now - 86_400_000),
      overdue: true,
      fluid: 'distilled',
    },
    response: { tau_s: 13.2, u_tau_s: 0.4, at: iso(now - 5 * 86_400_000), by: 'step-test' },
    step_tests: [
      {
        at: iso(now - 5 * 86_400_000),
        entered_at: iso(now - 5 * 86_400_000 + 20_000),
        by: 'M. Example',
        tau_s: 13.2,
        u_tau_s: 0.4,
        area_tau_s: 13.6,
        readings: 88,
        moved_from: 'saline without ozone',
        moved_to: 'saline with ozone',
      },
    ],
    history: pastCalibrations(now),
    checks: [
      {
        at: iso(now - 3 * 86_400_000),
        entered_at: iso(now - 2 * 86_400_000),
        by: 'M. Example',
        kind: 'thermometer',
        instrument: 'meter-a',
        reference: 'ice bath',
        unit: '°C',
        expected: 0,
        found: 0.7,
        left: 0.1,
        u: 0.05,
        change: 0.4,
        bench: null,
        limit: 0.5,
        outcome: 'outside',
        outcome_left: 'within',
        due_at: iso(now + 27 * 86_400_000),
        overdue: false,
      },
    ],
    in_doubt: [
      {
        kind: 'thermometer',
        failed_at: iso(now - 3 * 86_400_000),
        good_since: iso(now - 12 * 86_400_000),
        batches: [{ id: '01900000-0000-7000-8000-000000000001', number: 'A-2026-03-14-1' }],
      },
    ],
  },
  {
    instrument: 'meter-b',
    bench: 'B',
    port: 'usb-b',
    channels: [{ channel: 'dissolved-ozone', unit: 'mg/L', last_value: null, last_at: null }],
    calibration: null,
    response: null,
    step_tests: [],
    history: [],
    checks: [],
    in_doubt: [],
  },
]

const pastCalibrations = (now: number): Instrument['history'] =>
  [12, 42, 73].map((days, i) => ({
    at: iso(now - days * 86_400_000),
    entered_at: iso(now - days * 86_400_000 + (i === 1 ? 86_400_000 : 0)),
    by: 'M. Example',
    method: `indigo, dye lot ${7 - i}`,
    reference_method: 'indigo',
    slope: 0.98 - 0.02 * i,
    u_slope_percent: 3,
    zero: 0.05 + 0.03 * i,
    u_zero: 0.1,
    tau_s: 13,
    temperature_c: 20,
    compensation: i === 0 ? 'membrane-and-solubility' : null,
    fluid: 'distilled',
    certificate: i === 0 ? 'EX 4471' : null,
    due_at: iso(now - (days - 30) * 86_400_000),
    as_found_percent: i === 2 ? null : -4.2 + 3 * i,
    as_left_percent: i === 2 ? null : 0.4,
    as_found: i === 2 ? ('no-limit' as const) : ('within' as const),
    linearity: i === 0 ? { word: 'within' as const, furthest_percent: 0.8, u_percent: 0.4 } : null,
    references:
      i === 0
        ? [
            'indigo, dye lot 7, 100 · (0.4 ± 0.002 − 0.25 ± 0.002) / (f 0.42 ± 0.008 · 1 ± 0.005 cm · 2 ± 0.01 mL) = 17.86 ± 0.49 mg/L',
          ]
        : [],
  }))

const REFUSED = 117

const refused = (now: number): RefusedReadings['readings'] =>
  Array.from({ length: REFUSED }, (_, i) => ({
    seq: 88_120 - i,
    series: 'A/meter-a/dissolved-ozone',
    at: iso(now - (400 * 86_400 + i) * 1000),
    words: '422: unprocessable entity: dropped 1 points outside retention policy',
  }))

const health = (now: number): Health => ({
  status: 'degraded',
  version: '0.1.0',
  simulated: false,
  at: iso(now),
  uptime_s: 73_000,
  wiring: { refused: null },
  rules_of_thumb: { entries: 10, fault: null },
  delivery: null,
  daemon: { seen_at: iso(now - 900), alive: true, readings_seq: 1_204_331 },
  ledger: { entries: 412, head: 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c' },
  store: {
    readings: 1_204_331,
    readings_file_bytes: 81_300_000,
    ledger_file_bytes: 2_100_000,
    free_in_file_bytes: 0,
    bytes_per_reading: 67.5,
    readings_per_day: 345_600,
    not_rolled_up: 0,
    keep_raw_days: 400,
    results_kept_before: iso(now - 27 * 3_600_000),
    disk_free_bytes: 212_000_000,
    disk_total_bytes: 31_000_000_000,
    disk_full_at: iso(now + 9 * 86_400_000),
    disk_nearly_full: true,
  },
  forwarding: {
    place: 'https://influx.example:8086 (InfluxDB 2) clinic/ozone',
    proved: false,
    alive: true,
    state: 'waiting',
    why: 'connect ECONNREFUSED 192.0.2.7:8086',
    waiting: 12_410,
    oldest_waiting_s: 3_725,
    refused: REFUSED,
    last_refused: refused(now).slice(0, 5),
  },
  record_mirror: {
    place: 'https://influx.example:8086 (InfluxDB 2) clinic/ozone-record',
    proved: false,
    alive: true,
    state: 'up-to-date',
    why: null,
    waiting: 0,
    oldest_waiting_s: null,
    refused: 0,
    last_refused: [],
  },
  ports: [
    {
      port: 'usb-a',
      state: 'open',
      why: null,
      frames: 73_012,
      readings: 146_001,
      discarded: 3,
      last_reading_at: iso(now - 900),
    },
    {
      port: 'usb-b',
      state: 'waiting',
      why: 'The adapter is not plugged in.',
      frames: 0,
      readings: 0,
      discarded: 0,
      last_reading_at: null,
    },
  ],
})
