import type { Browser, Page } from 'playwright-core'
import { v7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { AlarmPerformanceView, AlarmView, EntryView } from '../../server/wire.ts'
import { get, post } from '../support/api.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, watched, wcagFaults } from './browser.ts'
import { seen } from './screen.ts'

/** An alarm from raised to shelved, out of service and back, on the program as it is built. */
describe('handling an alarm', { timeout: 60_000 }, () => {
  let real: RealBench
  let browser: Browser
  let page: Page

  beforeAll(async () => {
    real = await startRealBench()
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 },
      reducedMotion: 'reduce',
    })
    page = (await watched(context)).page
    page.setDefaultTimeout(15_000)
    // three seconds old is too old for this batch
    await post(real.address, `/api/batches/${v7()}/entries`, {
      id: v7(),
      bench: 'A',
      who: 'M. Example',
      expected_seq: 0,
      entry: {
        kind: 'batch-opened',
        data: {
          fluid: 'saline',
          volume_ml: 250,
          measuring_place: 'aliquot',
          purge: 'none',
          age_limit_min: 0.05,
        },
      },
    })
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  const alarm = () => page.locator('section.alarm', { hasText: 'older than the' })
  const settings = () => page.locator('details', { hasText: 'Batch past its age limit' }).last()

  it('says what is wrong and what to do, and is shelved only with a name and a reason', async () => {
    await page.goto(`${real.address}/alarms`)
    await alarm().getByText('Do not draw up from it').waitFor()
    await alarm().getByText('Shelve it for a while').click()
    const tenMinutes = alarm().getByRole('button', { name: '10 min' })
    expect(await tenMinutes.isDisabled()).toBe(true)
    await alarm()
      .locator('details')
      .getByLabel(/^Your name/)
      .fill('M. Example')
    await alarm().locator('details').getByLabel(/^Why/).fill('about to be discarded')
    await tenMinutes.click()
    await alarm()
      .getByText(/shelved until (\d{4}-\d\d-\d\d )?\d\d:\d\d/)
      .waitFor()
    expect(await wcagFaults(page)).toEqual([])
  })

  it('stays in sight at the bench, and is taken off the shelf by hand', async () => {
    await page.goto(`${real.address}/bench/A`)
    await page
      .locator('.alarm-strip')
      .getByText(/shelved until/)
      .waitFor()
    await page.goto(`${real.address}/alarms`)
    await alarm().getByRole('button', { name: 'Take it off the shelf now' }).click()
    await alarm().getByText('not acknowledged').waitFor()
  })

  it('refuses a limit out of range in plain words, takes it out of service with a reason, and back', async () => {
    await page.getByText('Batch left alone').last().click()
    const alone = page.locator('details', { hasText: 'bubbling on after the planned end' }).last()
    await alone.getByLabel(/^bubbling on/).fill('0')
    await alone.getByLabel(/^Why/).fill('trying')
    await alone.getByRole('button', { name: 'Set' }).click()
    await alone.getByText(/bubbling_min must lie from 1 to 240 min, got 0/).waitFor()
    await settings().locator('summary').click()
    await settings()
      .getByLabel(/^In service/)
      .selectOption('no')
    await settings().getByLabel(/^Why/).fill('not used here')
    await settings().getByRole('button', { name: 'Set' }).click()
    await page.getByText('Batch past its age limit (out of service)').waitFor()
    await page.getByRole('heading', { name: 'Not sounding' }).waitFor()
    expect(await wcagFaults(page)).toEqual([])
    await settings().locator('summary').click()
    expect(await seen(settings())).toMatch(/Set by M\. Example, .*: not used here/)
    await settings()
      .getByLabel(/^In service/)
      .selectOption('yes')
    await settings().getByLabel(/^Why/).fill('used after all')
    await settings().getByRole('button', { name: 'Set' }).click()
    await alarm().getByText('not acknowledged').waitFor()
  })

  it('is on record: every change with who and why', async () => {
    const { entries } = await get<{ entries: EntryView[] }>(real.address, '/api/alarms/history')
    const changes = entries
      .filter((e) => e.data['alarm'] === 'batch-past-age-limit')
      .reverse()
      .map((e) => [e.data['from'], e.data['to'], e.who.name, e.why])
    expect(changes).toEqual([
      ['normal', 'unacknowledged', 'Spargewatch', null],
      ['unacknowledged', 'shelved', 'M. Example', 'about to be discarded'],
      ['shelved', 'unacknowledged', 'M. Example', null],
      ['unacknowledged', 'out-of-service', 'Spargewatch', null],
      ['out-of-service', 'unacknowledged', 'Spargewatch', null],
    ])
    const figures = await get<AlarmPerformanceView>(real.address, '/api/alarms/performance')
    expect(figures.most_often[0]).toEqual({ key: 'A:batch-past-age-limit', raised: 3 })
    expect((await get<AlarmView[]>(real.address, '/api/alarms')).map((a) => a.alarm)).toContain(
      'batch-past-age-limit',
    )
  })
})
