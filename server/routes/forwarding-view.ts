import { type ForwardReport, readForwardReport, readMirrorReport } from '../../ingest/store/outbox.ts'
import { messageOf } from '../errors.ts'
import type { Service } from '../service.ts'
import type { Health } from '../wire.ts'
import { refusedView } from './forwarding-routes.ts'

/** The forwarder rewrites its status every second; this long without counts as gone. */
const GONE_S = 10
/** A backlog this old is more than the ordinary wait for the next batch. */
const BEHIND_S = 60

type Forwarding = NonNullable<Health['forwarding']>

export const forwardingView = ({ config, clock }: Asked): Health['forwarding'] =>
  config.forwards ? reported(() => readForwardReport(config.home), clock.nowMs()) : null

/** The same of the mirror of the record. */
export const mirrorView = ({ config, clock }: Asked): Health['record_mirror'] =>
  config.mirrors ? reported(() => readMirrorReport(config.home), clock.nowMs()) : null

type Asked = Pick<Service, 'config' | 'clock'>

/** A file that cannot be read must not hide the rest of the program's state. */
const reported = (read: () => ForwardReport | null, nowMs: number): Forwarding => {
  try {
    return viewOf(read(), nowMs)
  } catch (error) {
    return { ...NEVER_RAN, state: 'stopped', why: messageOf(error) }
  }
}

const viewOf = (report: ForwardReport | null, nowMs: number): Forwarding =>
  report === null
    ? { ...NEVER_RAN }
    : {
        place: report.place,
        proved: report.version === 1,
        alive: report.state !== 'stopped' && Math.abs(nowMs - report.timeUs / 1000) / 1000 < GONE_S,
        state: report.state,
        why: report.why,
        waiting: report.waiting,
        oldest_waiting_s:
          report.oldestUs === null ? null : Math.max(0, (nowMs - report.oldestUs / 1000) / 1000),
        refused: report.refused,
        last_refused: report.lastRefused.map(refusedView),
      }

const NEVER_RAN: Forwarding = {
  place: null,
  proved: false,
  alive: false,
  state: 'never-ran',
  why: null,
  waiting: 0,
  oldest_waiting_s: null,
  refused: 0,
  last_refused: [],
}

/** Nothing that a person would have to look into. */
export const isForwardingWell = (forwarding: Health['forwarding']): boolean =>
  forwarding === null ||
  (forwarding.alive && forwarding.refused === 0 && (forwarding.oldest_waiting_s ?? 0) < BEHIND_S)
