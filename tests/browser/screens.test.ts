import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { openScreen, seen } from './screen.ts'

const screen = openScreen()

describe('a small window', () => {
  it('reflows at 200 % zoom of a small screen without running off the side', async () => {
    await screen.page.setViewportSize({ width: 683, height: 384 })
    for (const state of ['standing', 'alarm', 'long-names'] as const) {
      await screen.show(state)
      expect(
        await screen.page.evaluate('document.documentElement.scrollWidth - innerWidth'),
        state,
      ).toBeLessThanOrEqual(0)
    }
  })
})

describe('what passes for live', () => {
  it('writes a live measurement as the large figure with its band, its age and its calibration', async () => {
    await screen.show('standing')
    const figure = screen.page.locator('.potency-live')
    expect(await seen(figure.locator('.number'))).toBe('18.2')
    expect(await seen(figure)).toMatch(/17\.6 to 18\.8\s+dissolved ozone/)
    expect(await seen(figure)).toMatch(/measured (just now|\d\ss ago) · calibrated/)
  })

  for (const state of ['stale', 'fault', 'clipped', 'no-data', 'by-hand'] as const)
    it(`never writes the large figure in "${state}"`, async () => {
      await screen.show(state)
      expect(await screen.page.locator('.potency-live').count()).toBe(0)
      expect(await screen.page.locator('.potency-not-live, .potency-by-hand').count()).toBe(1)
      expect(await screen.page.locator('.decision').count()).toBe(state === 'by-hand' ? 1 : 0)
    })

  it('says when a stale value was measured and how long ago, and stops the countdown', async () => {
    await screen.show('stale')
    expect(await seen(screen.page.locator('.potency'))).toMatch(
      /No new reading\s+last measured 18\.2 µg\/mL at (\d{4}-\d\d-\d\d )?\d\d:\d\d, 4\smin ago/,
    )
    expect(await screen.page.locator('.countdown').count()).toBe(0)
  })

  it('gives a clipped value as a bound and never as a number', async () => {
    await screen.show('clipped')
    expect(await seen(screen.page.locator('.potency'))).toContain(
      'at least 20.0 µg/mL: the number is not known',
    )
  })

  it('turns a value into an old one by its own clock when the server falls silent on an open connection', async () => {
    await screen.show('standing')
    await screen.page.locator('.potency-live').waitFor()
    screen.server.hush(true)
    await screen.page.locator('.potency-not-live').waitFor({ timeout: 9000 })
    await screen.page
      .getByText('This screen is not connected: numbers are old')
      .first()
      .waitFor({ timeout: 3000 })
    expect(await screen.page.locator('.countdown, .decision').count()).toBe(0)
    screen.server.hush(false)
    await screen.page.locator('.potency-live').waitFor({ timeout: 4000 })
  })

  it('says at once on every screen that the connection is lost, and recovers by itself', async () => {
    await screen.show('bubbling', '/')
    await screen.page.locator('.slip-live').waitFor()
    screen.server.cut(true)
    await screen.page.locator('.not-connected').waitFor({ timeout: 3000 })
    expect(await screen.page.locator('.slip-live').count()).toBe(0)
    expect(await seen(screen.page.locator('.slip'))).toContain('Not connected')
    screen.server.cut(false)
    await screen.page.locator('.slip-live').waitFor({ timeout: 9000 })
    expect(await screen.page.locator('.not-connected').count()).toBe(0)
  })

  it('shows an estimate between readings by hand as a range that says it is not measured', async () => {
    await screen.show('by-hand')
    const estimate = await seen(screen.page.locator('.estimate-now'))
    expect(estimate).toMatch(/estimated now 15\.2 to 18\.1 µg\/mL\s+not measured; estimate from this clinic/)
  })
})

describe('words', () => {
  it('says above until and at least until, and that an early answer while bubbling is an if', async () => {
    await screen.show('standing')
    expect(await screen.words()).toMatch(
      // before midnight at the site, what lies after it carries its date
      /Above the value you set until (\d{4}-\d\d-\d\d )?\d\d:\d\d \(at least until (\d{4}-\d\d-\d\d )?\d\d:\d\d\)/,
    )
    await screen.show('bubbling')
    expect(await screen.words()).toMatch(/If ozone were off now: above the value you set until/)
    expect(await screen.words()).toMatch(/ozone-off in\s+3\smin 0\d\ss/)
  })

  it('never says below by itself when it is too close to say, on the bench and at a glance', async () => {
    await screen.show('too-close')
    expect(await screen.words()).toContain('Too close to the value you set to say above or below')
    expect(await screen.words()).toContain('The best estimate is below the value you set')
    expect(await screen.words()).not.toMatch(/Below the value you set/)
    await screen.page.getByRole('link', { name: 'Benches' }).click()
    await screen.page.locator('.slip').waitFor()
    expect(await screen.words()).not.toMatch(/Below the value you set/)
  })

  it('says quietly that the value is not there yet while gas flows', async () => {
    await screen.show('not-yet')
    expect(await seen(screen.page.locator('.decision-progress'))).toMatch(
      /^Not yet at the value you set, 15\.0/,
    )
    expect(await seen(screen.page.locator('.now'))).not.toMatch(/below/i)
  })

  it('says under the number and in the legend that the probe’s response is taken out', async () => {
    await screen.show('not-yet')
    expect(await seen(screen.page.locator('.potency-live .age'))).toMatch(
      /corrected for the probe’s 9\ss response/,
    )
    expect(await seen(screen.page.locator('.legend'))).toMatch(
      /corrected for the probe’s 9\ss response, so it runs ahead of the points/,
    )
  })

  it('tells nobody to look at a meter where there is none, and draws typed values as their own marks', async () => {
    await screen.show('no-meter')
    await screen.page.locator('.chart').waitFor()
    expect(await screen.words()).not.toMatch(/check the meter|look at the meter|cable/i)
    expect(await seen(screen.page.locator('.potency'))).toContain('Take another reading')
    expect(await seen(screen.page.locator('.time-block'))).toContain(
      'How long cannot be told: the last reading is too old',
    )
    expect(await seen(screen.page.locator('.legend'))).toContain('typed in')
  })

  it('says that room ozone is not measured where it is not', async () => {
    await screen.show('standing')
    expect(await screen.words()).toContain(
      'Room ozone: not measured. The program cannot tell whether the air is safe.',
    )
  })

  it('shows the times of the site and says which zone', async () => {
    await screen.show('standing')
    const site = new Intl.DateTimeFormat('en-GB', {
      timeZone: 'Europe/Zurich',
      hour: '2-digit',
      minute: '2-digit',
    })
    expect([site.format(Date.now()), site.format(Date.now() - 5000)]).toContain(
      await seen(screen.page.locator('.site-time time')),
    )
    expect(await screen.words()).toContain('Europe/Zurich')
  })

  it('says simulated on every screen of a simulated site', async () => {
    screen.server.state.site = { ...screen.server.state.site, simulated: true }
    for (const path of [
      '/',
      '/bench/A',
      '/batches',
      '/batches/any',
      '/plan',
      '/sheets',
      '/alarms',
      '/instruments',
      '/program',
    ]) {
      await screen.page.goto(screen.server.url + path)
      await screen.page.locator('.simulated').first().waitFor()
    }
    screen.server.state.site = { ...screen.server.state.site, simulated: false }
  })

  it('changes the unit and never the number, and remembers the choice', async () => {
    await screen.show('standing')
    await screen.page.getByRole('button', { name: /^More/ }).click()
    await screen.page.getByLabel('Unit').selectOption('mg/L')
    await screen.page.reload()
    expect(await seen(screen.page.locator('.potency-live .figure'))).toMatch(/18\.2\s+mg\/L/)
    await screen.page.getByRole('button', { name: /^More/ }).click()
    await screen.page.getByLabel('Unit').selectOption('µg/mL')
  })
})

describe('weight', () => {
  it('sends at most 200 KB of script, gzipped, and nothing from another address', async () => {
    const folder = join(screen.root, 'assets')
    const scripts = readdirSync(folder).filter((f) => f.endsWith('.js'))
    const bytes = scripts
      .map((f) => gzipSync(readFileSync(join(folder, f))).length)
      .reduce((a, b) => a + b, 0)
    expect(bytes).toBeGreaterThan(10_000)
    expect(bytes).toBeLessThanOrEqual(200_000)
    const asked: string[] = []
    screen.page.on('request', (request) => asked.push(new URL(request.url()).host))
    await screen.show('standing')
    expect(new Set(asked)).toEqual(new Set([new URL(screen.server.url).host]))
  })
})
