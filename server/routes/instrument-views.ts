import { isoOf } from '../../ingest/units.ts'
import { calibrationsOf, inForceAt, lagAt, stepTestsOf } from '../calibration/in-force.ts'
import {
  inDoubt,
  isOverdue,
  OZONE,
  pastCalibrations,
  pastChecks,
  pastStepTests,
  type Suspect,
  suspectSpans,
} from '../calibration/instrument-history.ts'
import type { Entry } from '../ledger/entry.ts'
import type { Service } from '../service.ts'
import type { Instrument, InstrumentInDoubt } from '../wire.ts'

const MOST_SHOWN = 50

/** Wired instruments with their last values, calibrations and checks, and the batches that are in doubt. */
export const instrumentViews = ({ store, ledger, clock, reports }: Service): Instrument[] => {
  const wired = store.wiring().filter((s) => s.wired)
  const entries = [...ledger.ofKind('calibration'), ...ledger.ofKind('step-test')]
  const checks = pastChecks(ledger.ofKind('instrument-check'), clock.nowMs())
  return [...new Set(wired.map((s) => s.instrument))].map((id) => {
    const own = wired.filter((s) => s.instrument === id)
    const history = pastCalibrations(entries, id)
    const ownChecks = checks.filter((c) => c.instrument === id)
    return {
      instrument: id,
      bench: own[0]?.bench ?? '',
      port: own[0]?.port ?? '',
      channels: own.map((s) => {
        const newest = store.newest(s)
        return {
          channel: s.channel,
          unit: s.unit,
          last_value: newest?.value ?? null,
          last_at: newest ? isoOf(newest.timeUs) : null,
        }
      }),
      ...inForce(entries, id, clock.nowMs()),
      step_tests: pastStepTests(entries, id).slice(0, MOST_SHOWN),
      history: history.slice(0, MOST_SHOWN),
      checks: ownChecks.slice(0, MOST_SHOWN),
      in_doubt: suspectSpans(history, ownChecks).map((span) =>
        inDoubt(span, batchesOf(reports, own[0]?.bench ?? null, span)),
      ),
    }
  })
}

const inForce = (
  entries: readonly Entry[],
  instrument: string,
  nowMs: number,
): Pick<Instrument, 'calibration' | 'response'> => {
  const by = inForceAt(calibrationsOf(entries, instrument, OZONE), nowMs)
  const stepTests = stepTestsOf(entries, instrument, OZONE)
  const lag = lagAt(by, stepTests, nowMs)
  const newest = stepTests.findLast((s) => s.atMs <= nowMs)
  const stated = by?.data.tau_s !== undefined ? Date.parse(by.at) : Number.NEGATIVE_INFINITY
  const tested = newest && newest.atMs > stated ? newest : undefined
  return {
    calibration: by
      ? {
          at: by.at,
          method: by.data.method,
          due_at: by.data.due_at ?? null,
          overdue: isOverdue(by.data.due_at, nowMs),
          fluid: by.data.fluid ?? null,
        }
      : null,
    response: lag
      ? {
          tau_s: lag.tauS,
          u_tau_s: lag.uS,
          at: tested ? new Date(tested.atMs).toISOString() : (by?.at ?? ''),
          by: tested ? 'step-test' : 'calibration',
        }
      : null,
  }
}

/** What no port is wired to (flowmeter, balance, room monitor): batches of the bench it serves, of every bench without one. */
export const unwiredInDoubt = ({ store, ledger, clock, reports }: Service): InstrumentInDoubt[] => {
  const wired = new Set(store.wiring().flatMap((s) => (s.wired ? [s.instrument] : [])))
  const checks = pastChecks(ledger.ofKind('instrument-check'), clock.nowMs())
  const ids = [...new Set(checks.map((c) => c.instrument))].filter((id) => !wired.has(id))
  return ids.flatMap((instrument) => {
    const own = checks.filter((c) => c.instrument === instrument)
    const bench = own.find((c) => c.bench !== null)?.bench ?? null
    return suspectSpans([], own).map((span) => ({
      instrument,
      ...inDoubt(span, batchesOf(reports, bench, span)),
    }))
  })
}

/** From the newest back to the one at which the doubt begins; of every bench where none is named. */
const batchesOf = (reports: Service['reports'], bench: string | null, { goodSince }: Suspect) => {
  const found: { id: string; number: string; openedAt: string }[] = []
  for (const batch of reports.batches()) {
    if (goodSince !== null && Date.parse(batch.openedAt) < Date.parse(goodSince)) break
    if (bench === null || batch.bench === bench)
      found.push({ id: batch.id, number: batch.settings.number, openedAt: batch.openedAt })
  }
  return found
}
