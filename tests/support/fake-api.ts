import type { IncomingMessage, ServerResponse } from 'node:http'
import { alarmPerformance } from '../../server/alarm/performance.ts'
import type { EntryOf } from '../../server/ledger/entry.ts'
import { planOf } from '../../server/planner/plan.ts'
import { settingViews } from '../../server/routes/alarm-setting-view.ts'
import { planInputOf } from '../../server/routes/plan-routes.ts'
import type { Act, Line, PlanWanted } from '../../server/wire.ts'
import { keptRecord, readings, record, summaries } from './fake-batches.ts'
import { fakeBatch, iso } from './fake-bench.ts'
import { fakeDeliveries } from './fake-deliveries.ts'
import { FAKE_ENTRIES, fakeEntry } from './fake-entries.ts'
import { health, REFUSED, refused } from './fake-health.ts'
import { instruments } from './fake-instruments.ts'
import { FAKE_PORTS, FAKE_WIRING } from './fake-ports.ts'
import type { FakeState } from './fake-server.ts'
import { fakeCurves, fakeTrial } from './fake-trial.ts'

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
    case '/api/trials':
      return send(200, [fakeTrial()])
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
      if (/^\/api\/trials\/[^/]+\/curves$/.test(url.pathname)) return send(200, fakeCurves())
      if (url.pathname.startsWith('/api/trials/')) return send(200, fakeTrial())
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
