import { join } from 'node:path'
import type { Response } from 'express'
import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it, onTestFinished } from 'vitest'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { createLiveEstimator, liveEstimate } from '../../../server/analysis/live.ts'
import { readServerConfig } from '../../../server/config.ts'
import { trialRoutes } from '../../../server/routes/trial-routes.ts'
import { pastBatches } from '../../../server/seed/history-plans.ts'
import { writeBatch } from '../../../server/seed/write-batch.ts'
import { openService } from '../../../server/service.ts'
import type { TrialHead, TrialView } from '../../../server/wire.ts'
import { newEntry } from '../../support/entries.ts'
import { makeHome, tcpPort, wiring } from '../../support/home.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'
import { PREP_PLAN, TRIAL } from '../../support/trial.ts'

const DAY_MS = 86_400_000
const FIRST_MS = Date.parse('2026-03-16T09:00:00Z')
const BATCHES = 5
const SALINE = pastBatches()
  .filter((p) => p.plan.settings.fluid === 'saline')
  .slice(0, BATCHES)
/** As the seeded clinic bubbles its saline. */
const PLAN = {
  ...PREP_PLAN,
  limits: { ...PREP_PLAN.limits, temperature_low_c: 4, temperature_high_c: 12 },
  purge: 'through-the-fluid' as const,
  prep_min: 8,
  target_mg_l: 12,
}

/** A service with five simulated batches of saline, a day apart, each read back from stored readings. */
const create = () => {
  const home = makeHome(wiring({ port: tcpPort(1) }), join(temporaryFolder(), 'home'))
  const readings = join(home, 'readings.db')
  const store = new SqliteStore({ path: readings, kind: 'real', writes: true })
  const wired = {
    bench: 'A',
    instrument: 'meter-a',
    site: 'S',
    port: 'p',
    intervalS: 1,
    fullScale: null,
    wired: true,
  }
  store.wire([
    { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
    { ...wired, channel: 'fluid-temperature', unit: '°C' },
  ])
  const service = openService({
    config: readServerConfig(home),
    version: 'test',
    files: { readings, ledger: join(home, 'ledger.db') },
    estimator: liveEstimate,
    newEstimator: createLiveEstimator,
    clock: { nowMs: () => FIRST_MS + BATCHES * DAY_MS, steadyMs: () => 1e9 },
    publish: { live() {}, curves() {}, readings() {}, alarms() {}, entries() {} },
    onTrouble: (error) => {
      throw error
    },
  })
  const { ledger } = service
  const calibrated = { ...CALIBRATED, tau_s: 9, u_tau_s: 1, reference_method: 'indigo' as const }
  ledger.append({ ...newEntry('calibration', -60, calibrated), bench: null, batch: null })
  for (const [day, { plan }] of SALINE.entries()) {
    const openedMs = FIRST_MS + day * DAY_MS
    writeBatch(
      { store, ledger, zone: 'UTC' },
      { plan, openedMs, untilMs: openedMs + DAY_MS / 2, who: 'Ines' },
    )
  }
  onTestFinished(() => {
    service.close()
    return store.close()
  })
  const routes = trialRoutes(service)
  const answered = { status: () => answered } as unknown as Response
  const ask = async <T>(
    method: 'get' | 'post',
    path: string,
    more: Record<string, unknown> = {},
  ): Promise<T> => {
    const route = routes.find((r) => r.method === method && r.path === path)
    if (!route) throw new Error(`no route ${path}`)
    const body = route.body?.parse({ id: uuidv7(), who: 'Ines', ...more })
    const input = { params: { id: TRIAL }, query: {}, body, caller: { kind: 'open' } as const }
    const answer = route.answer?.parse(await route.handle(input, answered, undefined as never))
    // on a busy machine batches take longer than an answer waits for them
    return answer !== null && typeof answer === 'object' && 'working' in answer
      ? ask<T>('get', '/api/trials/{id}')
      : (answer as T)
  }
  return {
    plan: (more = {}) => ask<TrialView>('post', '/api/trials/{id}', { plan: { ...PLAN, ...more } }),
    list: () => ask<TrialHead[]>('get', '/api/trials'),
    trial: () => ask<TrialView>('get', '/api/trials/{id}'),
    takeIn: (batch: string) => ask<TrialView>('post', '/api/trials/{id}/batches', { batch, why: 'same kit' }),
    leaveOut: (batch: string) =>
      ask<TrialView>('post', '/api/trials/{id}/exclusions', { batch, why: 'foam' }),
    close: (after_seq: number) => ask<TrialView>('post', '/api/trials/{id}/closing', { after_seq }),
    batches: [...service.reports.batches()].map((b) => b.id),
  }
}

describe('trials by the API', () => {
  it('go from a plan through batches read back from stored readings to a closed answer', async () => {
    const site = create()
    expect((await site.plan()).result.answer).toBe('cannot-tell')
    for (const batch of site.batches) await site.takeIn(batch)
    const trial = await site.trial()
    expect(trial.members.map((m) => m.off_plan)).toEqual(Array.from({ length: BATCHES }, () => []))
    expect(trial.result).toMatchObject({ answer: 'shown', pooled: BATCHES, days: BATCHES })
    const { detail } = trial.result
    if (detail.kind !== 'prep-time') throw new Error('a prep time was expected')
    // every batch's own time lies under the bound, and the bound is the least of times to be recommended
    const times = trial.members.flatMap((m) => m.minutes?.value ?? [])
    expect(times).toHaveLength(BATCHES)
    expect(detail.minutes.bound?.value).toBeGreaterThan(Math.max(...times))
    expect(detail.recommended_min).toBeGreaterThanOrEqual(detail.minutes.bound?.value ?? 99)
    expect(trial.result.cautions.join()).toContain('5 of 5 batches were taken in afterwards')
    const closed = await site.close(trial.newest_seq)
    expect(closed.closed).toMatchObject({ by: 'Ines', answer: 'shown', sentence: trial.result.sentence })
    expect(await site.list()).toMatchObject([
      { id: TRIAL, batches: BATCHES, wanted: 5, closed: { answer: 'shown' } },
    ])
    await expect(site.takeIn(site.batches[0] ?? '')).rejects.toThrow(/closed/)
  })

  it('leave a batch out with the reason and give the answer with and without it', async () => {
    const site = create()
    await site.plan()
    for (const batch of site.batches) await site.takeIn(batch)
    const { result, with_excluded, members } = await site.leaveOut(site.batches[0] ?? '')
    expect([result.answer, result.pooled]).toEqual(['cannot-tell', 4])
    expect([with_excluded?.answer, with_excluded?.pooled]).toEqual(['shown', 5])
    expect(members.find((m) => m.excluded)?.excluded).toMatchObject({ by: 'Ines', why: 'foam' })
    await expect(site.close(1)).rejects.toThrow(/meanwhile/)
  })

  it('fill in 95 % confidence, 90 % of batches, 5 batches on 3 days where a plan leaves them out', async () => {
    const left = {
      confidence_percent: undefined,
      coverage_percent: undefined,
      batches: undefined,
      days: undefined,
    }
    expect((await create().plan(left)).plan).toMatchObject({
      ...{ confidence_percent: 95, coverage_percent: 90, batches: 5, days: 3 },
    })
  })

  it('say which trial does not exist', async () => {
    await expect(create().trial()).rejects.toThrow(`trial ${TRIAL} does not exist`)
  })
})
