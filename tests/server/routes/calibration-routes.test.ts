import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Quality } from '../../../ingest/reading/reading.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { createLiveEstimator, liveEstimate } from '../../../server/analysis/live.ts'
import { readServerConfig } from '../../../server/config.ts'
import type { Entry } from '../../../server/ledger/entry.ts'
import { calibrationRoutes } from '../../../server/routes/calibration-routes.ts'
import { instrumentViews } from '../../../server/routes/instrument-views.ts'
import { stepTestRoutes } from '../../../server/routes/step-test-routes.ts'
import { openService } from '../../../server/service.ts'
import type { CheckInstrument, InstrumentInDoubt, StepFound } from '../../../server/wire.ts'
import { atMinute, newEntry, OPENED } from '../../support/entries.ts'
import { makeHome, tcpPort, wiring } from '../../support/home.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const SERIES = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const

/** A service at minute 600 whose meter showed `shown(s)` each second of the minute 500, and no entry but what is made here. */
const serviceWith = (shown: (second: number) => number = () => 20) => {
  const home = makeHome(wiring({ port: tcpPort(1) }), join(temporaryFolder(), 'home'))
  const readings = join(home, 'readings.db')
  const store = new SqliteStore({ path: readings, kind: 'real', writes: true })
  const wired = { ...SERIES, site: 'S', port: 'p', intervalS: 1, fullScale: null, wired: true, unit: 'mg/L' }
  store.wire([wired])
  const zeroMs = Date.parse(atMinute(500))
  store.appendNow(
    Array.from({ length: 120 }, (_, s) => ({
      series: SERIES,
      timeUs: timeUs((zeroMs + s * 1000) * 1000),
      bootId: 'b',
      monoMs: s * 1000,
      movedUs: 0,
      raw: shown(s),
      value: shown(s),
      // a step in a fluid is faster than a fluid changes
      quality: (s === 11 ? 'implausible-rate' : 'good') as Quality,
    })),
  )
  const service = openService({
    config: readServerConfig(home),
    version: 'test',
    files: { readings, ledger: join(home, 'ledger.db') },
    estimator: liveEstimate,
    newEstimator: createLiveEstimator,
    clock: { nowMs: () => Date.parse(atMinute(600)), steadyMs: () => 1e9 },
    publish: { live() {}, curves() {}, readings() {}, alarms() {}, entries() {} },
    onTrouble: (error) => {
      throw error
    },
  })
  onTestFinished(() => {
    service.close()
    return store.close()
  })
  const routes = [...calibrationRoutes(service), ...stepTestRoutes(service)]
  const ask = <T>(method: 'get' | 'post', path: string, body: unknown = undefined): T => {
    const route = routes.find((r) => r.method === method && r.path === path)
    if (!route) throw new Error(`no route ${path}`)
    const given = route.body ? route.body.parse(body) : undefined
    const answer = route.handle(
      { params: {}, query: {}, body: given, caller: { kind: 'open' } },
      undefined as never,
      undefined as never,
    )
    return route.answer?.parse(answer) as T
  }
  return { service, ask }
}

const calibrate = (happened_at?: string) => ({
  id: uuidv7(),
  who: 'Ines',
  ...(happened_at === undefined ? {} : { happened_at }),
  data: CALIBRATED,
})

describe('a calibration dated back', () => {
  it('counts from its time on, and says when it was entered', () => {
    const { ask, service } = serviceWith()
    service.ledger.append(newEntry('batch-opened', 0, OPENED))
    const entry = ask<Entry>('post', '/api/calibrations', calibrate(atMinute(30)))
    expect([entry.happened_at, entry.entered_at]).toEqual([atMinute(30), atMinute(600)])
    expect(instrumentViews(service)[0]?.history[0]).toMatchObject({
      at: atMinute(30),
      entered_at: atMinute(600),
    })
  })

  it('is refused for a time that has not come, or before anything on record, and nothing is written', () => {
    const { ask, service } = serviceWith()
    const at = (minute: number) => () => ask('post', '/api/calibrations', calibrate(atMinute(minute)))
    expect(at(-1)).toThrow(/lies before the first entry of this site, 2026-03-14 19:00:00 \(Europe\/Lisbon\)/)
    service.ledger.append(newEntry('batch-opened', 0, OPENED))
    expect(at(601)).toThrow(/lies in the future/)
    expect(at(-1)).toThrow(/lies before the first entry of this site, 2026-03-14 09:00:00 \(Europe\/Lisbon\)/)
    expect(service.ledger.head().entries).toBe(1)
    expect(at(0)).not.toThrow()
  })
})

const MOVED = { instrument: 'meter-a', channel: 'dissolved-ozone' }
const SPAN = { ...MOVED, from: atMinute(500), to: atMinute(502) }
/** Ten seconds in water, then 9 s of response towards 20 mg/L; sin(1.7·t²) stands in for noise. */
const moved = (s: number) => (s < 10 ? 2 : 20 - 18 * Math.exp(-(s - 10) / 9)) + 0.05 * Math.sin(1.7 * s * s)

describe('a step test from stored readings', () => {
  it('finds the response time though the mark was set ten seconds early', () => {
    const { ask } = serviceWith(moved)
    const found = ask<StepFound>('post', '/api/step-test', SPAN)
    if (found.kind === 'refused') throw new Error(found.words)
    expect(Math.abs(found.tau_s / 9 - 1)).toBeLessThan(0.01)
    // 10 % of the way after 0.95 s
    expect(found.began_s).toBe(11)
    expect(found.readings).toBe(109)
  })

  it('entered is dated to the end of the test and counts for the instrument from then on', () => {
    const { ask, service } = serviceWith(moved)
    const data = { ...SPAN, moved_from: 'water', moved_to: 'saline' }
    const entry = ask<Entry>('post', '/api/step-tests', { id: uuidv7(), who: 'Ines', data })
    expect([entry.kind, entry.happened_at]).toEqual(['step-test', atMinute(502)])
    const sheet = instrumentViews(service)[0]
    expect(sheet?.response).toMatchObject({ by: 'step-test', at: atMinute(502) })
    expect(sheet?.response?.tau_s).toBeCloseTo(9, 0)
    expect(sheet?.step_tests).toMatchObject([{ by: 'Ines', moved_from: 'water', moved_to: 'saline' }])
  })

  it('is refused in plain words where nothing changed, nothing was read or the end was not reached', () => {
    const { ask, service } = serviceWith(moved)
    service.ledger.append(newEntry('batch-opened', 0, OPENED))
    const words = (from: string, to: string) => {
      const found = ask<StepFound>('post', '/api/step-test', { ...MOVED, from, to })
      return found.kind === 'refused' ? found.words : 'found'
    }
    expect(words(atMinute(300), atMinute(301))).toMatch(/too few readings/)
    expect(words(atMinute(500.2), atMinute(500.5))).toMatch(/had not settled yet/)
    const enter = () =>
      ask('post', '/api/step-tests', {
        id: uuidv7(),
        who: 'Ines',
        data: { ...MOVED, from: atMinute(300), to: atMinute(301) },
      })
    expect(enter).toThrow(/no response time came of this step test: there are too few readings/)
    expect(service.ledger.ofKind('step-test')).toEqual([])
    const still = serviceWith((s) => 20 + 0.05 * Math.sin(1.7 * s * s))
    expect(still.ask<StepFound>('post', '/api/step-test', SPAN).kind).toBe('refused')
  })
})

const CHECK: CheckInstrument['data'] = {
  kind: 'flowmeter',
  instrument: 'rotameter 3',
  reference: 'bubble meter, EX 12',
  unit: 'mL/min',
  expected: 400,
  u_expected: 2,
  found: 402,
  u_found: 1,
  limit: 20,
}

describe('a check of an instrument that no port is wired to', () => {
  const check = (minute: number, data: Partial<CheckInstrument['data']>) => ({
    id: uuidv7(),
    who: 'Ines',
    happened_at: atMinute(minute),
    data: { ...CHECK, ...data },
  })

  it('puts the batches of its bench since the last good one in doubt, and those of every bench without a bench', () => {
    for (const [bench, numbers] of [
      [undefined, ['B-1', 'A-2']],
      ['A', ['A-2']],
    ] as const) {
      const { ask, service } = serviceWith()
      const opened = (minute: number, of: string, number: string) =>
        service.ledger.append(
          newEntry('batch-opened', minute, { ...OPENED, number }, { bench: of, batch: uuidv7() }),
        )
      opened(0, 'A', 'A-1')
      ask('post', '/api/instrument-checks', check(10, bench ? { bench } : {}))
      opened(20, 'A', 'A-2')
      opened(30, 'B', 'B-1')
      const failed = ask<Entry>(
        'post',
        '/api/instrument-checks',
        check(40, { found: 430, left: 401, ...(bench ? { bench } : {}) }),
      )
      opened(50, 'A', 'A-3')
      expect(failed.data).toMatchObject({ outcome: 'outside', outcome_left: 'within' })
      const doubt = ask<InstrumentInDoubt[]>('get', '/api/batches-in-doubt')
      expect(doubt).toHaveLength(1)
      expect(doubt[0]).toMatchObject({
        instrument: 'rotameter 3',
        kind: 'flowmeter',
        good_since: atMinute(10),
      })
      expect(doubt[0]?.batches.map((b) => b.number)).toEqual(numbers)
    }
  })
})
