import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { expect } from 'vitest'
import { readIngestConfig } from '../../ingest/config.ts'
import { startDaemon } from '../../ingest/daemon.ts'
import { createLog } from '../../ingest/log.ts'
import type { Reading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { act } from '../../server/acting/act.ts'
import { createLiveEstimator, liveEstimate } from '../../server/analysis/live.ts'
import type { Analysis } from '../../server/analysis/schema.ts'
import { readServerConfig } from '../../server/config.ts'
import { batchReadingsCsv } from '../../server/report/batch-readings-csv.ts'
import { openService, type Service } from '../../server/service.ts'
import type { Act, LiveBench } from '../../server/wire.ts'
import { OPENING } from '../support/api.ts'
import { newEntry } from '../support/entries.ts'
import { handClock } from '../support/hand-clock.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { connected, meterLine, startMeter } from '../support/meter.ts'
import { until } from '../support/until.ts'

export const EVERY_S = 10
export const HOUR_S = 3600
/** The meter is on before the batch is opened at 0 s. */
export const FIRST_S = -300
const OZONE_ON_S = 60
const OZONE_OFF_S = 60 + 8 * 60
/** When the screen is looked at: nine minutes into standing, some four before the target is reached. */
const LOOK_S = OZONE_OFF_S + 9 * 60
export const END_S = OZONE_OFF_S + 20 * 60

/** Rise to 24 mg/L at 0.6/min, then a half-life of 20 min; a wiggle of ±0.1 mg/L stands in for noise. */
const valueAt = (second: number): number => {
  if (second < 0) return 5
  const risen = (s: number) => 24 * (1 - Math.exp((-0.6 * Math.max(0, s - OZONE_ON_S)) / 60))
  const decayed = Math.exp((-Math.LN2 * Math.max(0, second - OZONE_OFF_S)) / (20 * 60))
  const wiggle = Math.sin(second * 12.9898) * 43758.5453
  return risen(Math.min(second, OZONE_OFF_S)) * decayed + 0.2 * (wiggle - Math.floor(wiggle) - 0.5)
}

export interface Outcome {
  readonly readings: readonly Reading[]
  readonly steps: readonly unknown[]
  readonly analysis: Analysis
  readonly afterDiscard: Analysis
  readonly look: LiveBench | undefined
  readonly gaps: number
  /** Seconds between the rows of the batch's file of readings. */
  readonly rowsApartS: readonly number[]
}

/** One whole batch through the real daemon and the real engine, on clocks that the test moves. */
export const runBatch = async (
  step: { readonly atS: number; readonly byS: number } | undefined,
): Promise<Outcome> => {
  const clock = handClock('2026-03-14T10:00:00Z')
  const meter = await startMeter()
  const home = makeHome(wiring({ port: tcpPort(meter.port, 60), intervalS: EVERY_S, commitMs: 5 }))
  const readingsPath = join(home, 'readings.db')
  const log = createLog('daemon', 'silent')
  const daemon = startDaemon({ config: readIngestConfig(home), readingsPath, clock: clock.daemon, log })
  const troubles: unknown[] = []
  const service = openService({
    config: readServerConfig(home),
    version: 'test',
    files: { readings: readingsPath, ledger: join(home, 'ledger.db') },
    estimator: liveEstimate,
    newEstimator: createLiveEstimator,
    clock: clock.server,
    publish: { live() {}, curves() {}, readings() {}, alarms() {}, entries() {} },
    onTrouble: (error) => troubles.push(error),
  })
  calibrateOnce(service)
  service.engine.start()
  const reader = new SqliteStore({ path: readingsPath, kind: 'real', writes: false })
  try {
    await connected(meter)
    meter.send('\r\n')
    const batch = uuidv7()
    let look: LiveBench | undefined
    for (let second = FIRST_S; second <= END_S; second += EVERY_S) {
      if (second === step?.atS) {
        clock.step(step.byS)
        await until('the step to be recorded', () => clockStepsOf(service).length > 0)
      }
      if (second === 0) enter(service, batch, OPENING)
      if (second === OZONE_ON_S) enter(service, batch, { kind: 'ozone-on' })
      if (second === OZONE_OFF_S) {
        enter(service, batch, { kind: 'ozone-off' })
        enter(service, batch, { kind: 'flow-off' })
      }
      const before = reader.newestSeq()
      meter.send(meterLine(second, valueAt(second).toFixed(3), '20.0'))
      await soon(() => reader.newestSeq() >= before + 2)
      if (second === LOOK_S)
        look = await until('a countdown with the newest reading', () => {
          const live = service.engine.bench('A')?.live
          const isNow = live?.potency.age_s === 0 && Date.parse(live.at) === clock.server.nowMs()
          return isNow && live.forecast.state === 'counting' && live.potency.state === 'live' && live
        })
      clock.pass(EVERY_S)
    }
    const analysis = analysisOf(service, batch)
    const rowsApartS = rowsApart(service, batch)
    enter(service, batch, { kind: 'discarded' })
    const afterDiscard = analysisOf(service, batch)
    clock.step(-HOUR_S)
    await until('the last step', () => clockStepsOf(service).length === (step ? 2 : 1))
    expect(analysisOf(service, batch), 'a later step is not the business of an old batch').toEqual(
      afterDiscard,
    )
    expect(troubles).toEqual([])
    return {
      readings: reader.after(0, 100_000),
      steps: clockStepsOf(service).map((e) => e.data.detail['step_us']),
      analysis,
      afterDiscard,
      look,
      rowsApartS,
      gaps: service.ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'gap').length,
    }
  } finally {
    daemon.stop()
    service.close()
    reader.db.close()
    await meter.close()
  }
}

const clockStepsOf = (service: Service) =>
  service.ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'clock-step')

/** Days before: without a calibration no time above the target is counted. */
const calibrateOnce = (service: Service) => {
  const at = '2026-03-01T09:00:00Z'
  service.ledger.append(
    newEntry(
      'calibration',
      0,
      {
        instrument: 'meter-a',
        channel: 'dissolved-ozone',
        slope: 1,
        zero: 0,
        u_slope_percent: 1,
        u_zero: 0.05,
        method: 'indigo',
      },
      { happened_at: at, entered_at: at, bench: null, batch: null },
    ),
  )
}

const enter = (service: Service, batch: string, entry: Act['entry']) =>
  act(
    batch,
    { id: uuidv7(), bench: 'A', who: 'Ines', expected_seq: 1_000_000, entry },
    {
      ledger: service.ledger,
      who: { name: 'Ines', how: 'typed' },
      zone: 'UTC',
      benches: new Set(['A']),
      nowMs: service.clock.nowMs,
      valueAt: () => null,
      spotAt: () => {
        throw new Error('no meter here')
      },
    },
  )

const analysisOf = (service: Service, id: string): Analysis => {
  const batch = service.reports.batch(id)
  if (!batch) throw new Error('the batch is gone')
  return service.reports.analysis(batch)
}

const rowsApart = (service: Service, id: string): number[] => {
  const batch = service.reports.batch(id)
  if (!batch) throw new Error('the batch is gone')
  const sources = { ...service, site: 'Test clinic', simulated: false, nowMs: service.clock.nowMs() }
  const times = [...batchReadingsCsv(batch, sources)]
    .filter((row) => /^\d{4}-/.test(row))
    .map((row) => Date.parse(row.split(',')[0] ?? '') / 1000)
  return times.slice(1).map((time, i) => time - (times[i] ?? 0))
}

/** Finer than `until`: three hundred readings are waited for one by one. */
const soon = async (probe: () => boolean): Promise<void> => {
  for (
    const end = performance.now() + 20_000;
    !probe();
    await new Promise((resolve) => setTimeout(resolve, 2))
  )
    if (performance.now() > end) throw new Error('waited 20 s for a reading to be stored')
}
