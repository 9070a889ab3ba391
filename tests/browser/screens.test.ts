import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { fakeEntry } from '../support/fake-entries.ts'
import { type FakeServer, startFakeServer } from '../support/fake-server.ts'
import { buildWeb, type WebBuild } from '../support/web-build.ts'
import { launch, lowContrast, type Watched, watched, wcagFaults } from './browser.ts'
import { STATES, stateOf } from './screen-states.ts'

let browser: Browser
let context: BrowserContext
let server: FakeServer
let web: WebBuild
let open: Watched
let page: Page

beforeAll(async () => {
  web = await buildWeb()
  browser = await launch()
  // A browser far from the site: its own zone must never be shown.
  context = await browser.newContext({ timezoneId: 'America/New_York', reducedMotion: 'reduce' })
  server = await startFakeServer(
    stateOf(() => []),
    web.root,
  )
})

afterAll(async () => {
  await browser.close()
  await server.close()
  await web.remove()
})

beforeEach(async () => {
  open = await watched(context)
  page = open.page
  await page.setViewportSize({ width: 1366, height: 768 })
})

afterEach(async () => {
  expect(open.faults.filter((fault) => !fault.includes('Failed to load resource'))).toEqual([])
  await page.close()
  server.cut(false)
  server.hush(false)
  server.state.posted = []
  server.state.refuse = null
})

const show = async (state: keyof typeof STATES, path = '/bench/A'): Promise<void> => {
  const benches = STATES[state] ?? (() => [])
  server.state.benches = benches
  server.state.alarms = (now) => benches(now).flatMap((b) => b.alarms)
  await page.goto(server.url + path)
  await page.locator('.now, .slip, .page > :is(section, table, dl, form)').first().waitFor()
}

/** Text as it is painted, line breaks and hidden parts included, which the text of the nodes is not. */
// biome-ignore lint/performance/useDomNodeTextContent: the painted text is what a person reads
const seen = (locator: Locator): Promise<string> => locator.innerText()

const words = (): Promise<string> => seen(page.locator('body'))

describe('WCAG 2.2 A and AA', () => {
  const dark = new Set(['standing', 'stale', 'alarm', 'acknowledged', 'forty-benches'])
  for (const state of Object.keys(STATES))
    it(`finds no fault in "${state}", and no word that promises too much`, async () => {
      await show(state, state === 'forty-benches' ? '/' : '/bench/A')
      await check(dark.has(state), state)
      if (state === 'forty-benches') return
      await page.getByRole('link', { name: 'Benches' }).click()
      await page.locator('.slip').waitFor()
      await check(dark.has(state), `${state} at a glance`)
    })

  const check = async (alsoDark: boolean, what: string): Promise<void> => {
    expect(await words(), what).not.toMatch(/\bOK\b|\bready\b|\bgood\b|safe until|✓|✔/i)
    expect(await wcagFaults(page), what).toEqual([])
    if (!alsoDark) return
    await page.emulateMedia({ colorScheme: 'dark' })
    expect(await wcagFaults(page), `${what}, dark`).toEqual([])
  }

  it('finds no fault on the screens of records, alarms, instruments and the program', async () => {
    for (const path of [
      '/batches',
      '/batches/any',
      '/alarms',
      '/instruments',
      '/program',
      '/nowhere/at/all',
    ]) {
      server.state.benches = STATES['alarm'] ?? (() => [])
      server.state.alarms = (now) => server.state.benches(now).flatMap((b) => b.alarms)
      await page.goto(server.url + path)
      await page.locator('h1').waitFor()
      await page.waitForTimeout(400)
      expect(await wcagFaults(page), path).toEqual([])
      for (const summary of await page.locator('summary').all()) await summary.click()
      expect(await wcagFaults(page), `${path} opened`).toEqual([])
    }
  })

  it('finds no fault in the dialogs, the open details and the lost connection', async () => {
    await show('standing')
    for (const summary of await page.locator('summary').all()) await summary.click()
    expect(await wcagFaults(page)).toEqual([])
    for (const name of ['Draw up', 'Discard', 'Reading by hand', 'Note', 'Ozone on']) {
      await page.getByRole('button', { name, exact: false }).first().click()
      await page.getByRole('button', { name: 'Pick a time' }).click()
      expect(await wcagFaults(page), name).toEqual([])
      await page.keyboard.press('Escape')
    }
    server.cut(true)
    await page.locator('.not-connected').waitFor()
    expect(await wcagFaults(page), 'not connected').toEqual([])
    server.cut(false)
    await show('no-data')
    await page.getByRole('button', { name: 'Open batch' }).click()
    expect(await wcagFaults(page), 'open batch').toEqual([])
  })

  it('keeps 7:1 contrast in the live value and the buttons, by day and by night', async () => {
    for (const scheme of ['light', 'dark'] as const)
      for (const state of ['standing', 'stale', 'alarm', 'uncalibrated'] as const) {
        await page.emulateMedia({ colorScheme: scheme })
        await show(state)
        for (const part of ['.now', '.actions', '.alarm-strip'])
          expect(await lowContrast(page, part), `${state} ${scheme} ${part}`).toEqual([])
      }
  })

  it('reflows at 200 % zoom of a small screen without running off the side', async () => {
    await page.setViewportSize({ width: 683, height: 384 })
    for (const state of ['standing', 'alarm', 'long-names'] as const) {
      await show(state)
      expect(
        await page.evaluate('document.documentElement.scrollWidth - innerWidth'),
        state,
      ).toBeLessThanOrEqual(0)
    }
  })
})

describe('what passes for live', () => {
  it('writes a live measurement as the large figure with its band, its age and its calibration', async () => {
    await show('standing')
    const figure = page.locator('.potency-live')
    expect(await seen(figure.locator('.number'))).toBe('18.2')
    expect(await seen(figure)).toMatch(/17\.6 to 18\.8\s+dissolved ozone/)
    expect(await seen(figure)).toMatch(/measured (just now|\d\ss ago) · calibrated/)
  })

  for (const state of ['stale', 'fault', 'clipped', 'no-data', 'by-hand'] as const)
    it(`never writes the large figure in "${state}"`, async () => {
      await show(state)
      expect(await page.locator('.potency-live').count()).toBe(0)
      expect(await page.locator('.potency-not-live, .potency-by-hand').count()).toBe(1)
      expect(await page.locator('.decision').count()).toBe(state === 'by-hand' ? 1 : 0)
    })

  it('says when a stale value was measured and how long ago, and stops the countdown', async () => {
    await show('stale')
    expect(await seen(page.locator('.potency'))).toMatch(
      /No new reading\s+last measured 18\.2 µg\/mL at \d\d:\d\d, 4\smin ago/,
    )
    expect(await page.locator('.countdown').count()).toBe(0)
  })

  it('gives a clipped value as a bound and never as a number', async () => {
    await show('clipped')
    expect(await seen(page.locator('.potency'))).toContain('at least 20.0 µg/mL: the number is not known')
  })

  it('turns a value into an old one by its own clock when the server falls silent on an open connection', async () => {
    await show('standing')
    await page.locator('.potency-live').waitFor()
    server.hush(true)
    await page.locator('.potency-not-live').waitFor({ timeout: 9000 })
    await page.getByText('This screen is not connected: numbers are old').first().waitFor({ timeout: 3000 })
    expect(await page.locator('.countdown, .decision').count()).toBe(0)
    server.hush(false)
    await page.locator('.potency-live').waitFor({ timeout: 4000 })
  })

  it('says at once on every screen that the connection is lost, and recovers by itself', async () => {
    await show('bubbling', '/')
    await page.locator('.slip-live').waitFor()
    server.cut(true)
    await page.locator('.not-connected').waitFor({ timeout: 3000 })
    expect(await page.locator('.slip-live').count()).toBe(0)
    expect(await seen(page.locator('.slip'))).toContain('Not connected')
    server.cut(false)
    await page.locator('.slip-live').waitFor({ timeout: 9000 })
    expect(await page.locator('.not-connected').count()).toBe(0)
  })

  it('shows an estimate between readings by hand as a range that says it is not measured', async () => {
    await show('by-hand')
    const estimate = await seen(page.locator('.estimate-now'))
    expect(estimate).toMatch(/estimated now 15\.2 to 18\.1 µg\/mL\s+not measured; estimate from this clinic/)
  })
})

describe('words', () => {
  it('says above until and at least until, and that an early answer while bubbling is an if', async () => {
    await show('standing')
    expect(await words()).toMatch(/Above the value you set until \d\d:\d\d \(at least until \d\d:\d\d\)/)
    await show('bubbling')
    expect(await words()).toMatch(/If ozone were off now: above the value you set until/)
    expect(await words()).toMatch(/ozone-off in\s+3\smin 0\d\ss/)
  })

  it('says that room ozone is not measured where it is not', async () => {
    await show('standing')
    expect(await words()).toContain(
      'Room ozone: not measured. The program cannot tell whether the air is safe.',
    )
  })

  it('shows the times of the site and says which zone', async () => {
    await show('standing')
    const site = new Intl.DateTimeFormat('en-GB', {
      timeZone: 'Europe/Zurich',
      hour: '2-digit',
      minute: '2-digit',
    })
    expect([site.format(Date.now()), site.format(Date.now() - 5000)]).toContain(
      await seen(page.locator('.site-time time')),
    )
    expect(await words()).toContain('Europe/Zurich')
  })

  it('says simulated on every screen of a simulated site', async () => {
    server.state.site = { ...server.state.site, simulated: true }
    for (const path of ['/', '/bench/A', '/batches', '/batches/any', '/alarms', '/instruments', '/program']) {
      await page.goto(server.url + path)
      await page.locator('.simulated').first().waitFor()
    }
    server.state.site = { ...server.state.site, simulated: false }
  })

  it('changes the unit and never the number, and remembers the choice', async () => {
    await show('standing')
    await page.getByLabel('Unit').selectOption('mg/L')
    await page.reload()
    expect(await seen(page.locator('.potency-live .figure'))).toMatch(/18\.2\s+mg\/L/)
    await page.getByLabel('Unit').selectOption('µg/mL')
  })
})

describe('entering what happens', () => {
  it('enters ozone off half a minute late without asking for a name, and takes it back', async () => {
    await show('bubbling')
    await page.getByRole('button', { name: 'Ozone off' }).first().click()
    expect(await seen(page.getByRole('dialog'))).toContain('Oxygen through the fluid carries ozone out')
    await page.getByRole('button', { name: '30 s ago' }).click()
    await page.getByRole('button', { name: /Take it back/ }).click()
    await page.getByText('The record keeps both').waitFor()
    const [off, undone] = server.state.posted
    expect(off?.body.entry).toEqual({ kind: 'ozone-off' })
    expect(off?.body.who).toBe('name not given')
    expect(Date.now() - Date.parse(off?.body.happened_at ?? '')).toBeGreaterThan(29_000)
    expect(Date.now() - Date.parse(off?.body.happened_at ?? '')).toBeLessThan(40_000)
    expect(undone?.body.entry).toEqual({ kind: 'undone', data: { entry: off?.body.id } })
    expect(undone?.body.expected_seq).toBe((off?.body.expected_seq ?? 0) + 1)
  })

  it('keeps ozone on closed until a name is typed, and shows the sterility caution for a probe in the flask', async () => {
    await show('no-data')
    const benches = STATES['bubbling'] ?? (() => [])
    server.state.benches = (now) =>
      benches(now).map((b) => ({ ...b, phase: { kind: 'set-up', since: null }, ozone_off_at_planned: null }))
    server.say()
    await page.getByRole('button', { name: 'Ozone on' }).first().click()
    expect(await seen(page.getByRole('dialog'))).toContain(
      'A probe that is not sterile makes the fluid not sterile',
    )
    expect(await page.getByRole('button', { name: 'Now', exact: true }).isDisabled()).toBe(true)
    await page.getByRole('dialog').getByLabel('Your name').fill('M. Example')
    await page.getByRole('button', { name: 'Now', exact: true }).click()
    await page.getByText('entered for').waitFor()
    expect(server.state.posted[0]?.body.happened_at).toBeUndefined()
    expect(server.state.posted[0]?.body.who).toBe('M. Example')
  })

  it('says what was refused and what to do, and claims nothing', async () => {
    await show('bubbling')
    server.state.refuse = { status: 422, detail: 'Ozone is already off.', fix: 'Look at the entries.' }
    await page.getByRole('button', { name: 'Ozone off' }).first().click()
    await page.getByRole('button', { name: 'Now', exact: true }).click()
    const bar = page.locator('.undo-bar')
    await bar.getByText('Not entered.').waitFor()
    expect(await seen(bar)).toContain('Ozone is already off. Look at the entries.')
    expect(await bar.getByRole('button', { name: /Take it back/ }).count()).toBe(0)
  })

  it('shows what somebody else entered meanwhile when the record has moved on', async () => {
    await show('bubbling')
    const entry = fakeEntry(Date.now(), { kind: 'ozone-off', who: { name: 'Other Person', how: 'typed' } })
    server.state.refuse = { status: 409, detail: 'expected_seq 7, newest 8', entries: [entry] }
    await page.getByRole('button', { name: 'Ozone off' }).first().click()
    await page.getByRole('button', { name: 'Now', exact: true }).click()
    const bar = page.locator('.undo-bar')
    await bar.getByText('Something else was entered meanwhile.').waitFor()
    expect(await seen(bar)).toMatch(/\d\d:\d\d:\d\d Ozone off \(Other Person\)/)
  })

  it('goes behind an alarm that the program wrote meanwhile without asking anybody', async () => {
    await show('bubbling')
    const alarm = fakeEntry(Date.now(), {
      kind: 'alarm',
      seq: 93,
      who: { name: 'Spargewatch', how: 'program' },
    })
    server.state.refuse = { status: 409, detail: 'expected_seq 7, newest 93', entries: [alarm] }
    await page.getByRole('button', { name: 'Ozone off' }).first().click()
    await page.getByRole('button', { name: 'Now', exact: true }).click()
    await page.getByText('entered for').waitFor()
    expect(server.state.posted.map((p) => p.body.expected_seq)).toEqual([93])
  })

  it('sends the same entry with the same id again after no answer came', async () => {
    await show('bubbling')
    server.cut(true)
    await page.getByRole('button', { name: 'Ozone off' }).first().click()
    await page.getByRole('button', { name: 'Now', exact: true }).click()
    await page.locator('.undo-bar').getByText('The server did not answer.').waitFor()
    server.cut(false)
    await page.getByRole('button', { name: 'Try again' }).click()
    await page.getByText('entered for').waitFor()
    expect(server.state.posted).toHaveLength(1)
  })

  it('opens a batch with what was typed and leaves the rest out', async () => {
    await show('no-data')
    await page.getByRole('button', { name: 'Open batch' }).click()
    const dialog = page.getByRole('dialog')
    expect(await dialog.getByLabel('Value you set (target)').inputValue()).toBe('')
    await dialog.getByLabel('Fluid').selectOption('distilled')
    await dialog.getByLabel(/^Volume/).fill('250')
    await dialog.getByLabel(/Measuring place/).selectOption('aliquot')
    await dialog.getByLabel(/^Purge/).selectOption('none')
    await dialog.getByLabel('Value you set (target)').fill('15,5')
    await dialog.getByLabel('Your name').fill('M. Example')
    await dialog.getByRole('button', { name: 'Now', exact: true }).click()
    await page.getByText('entered for').waitFor()
    const [posted] = server.state.posted
    expect(posted?.body.entry).toEqual({
      kind: 'batch-opened',
      data: {
        fluid: 'distilled',
        volume_ml: 250,
        measuring_place: 'aliquot',
        purge: 'none',
        target_mg_l: 15.5,
      },
    })
    expect(posted?.body.expected_seq).toBe(0)
    expect(posted?.path).toMatch(/^\/api\/batches\/[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f-]{21}\/entries$/)
  })

  it('works by keyboard alone: open, leave with Escape, focus back where it was', async () => {
    await show('bubbling')
    const button = page.getByRole('button', { name: 'Ozone off' }).first()
    await button.focus()
    await page.keyboard.press('Enter')
    await page.getByRole('dialog').waitFor()
    await page.keyboard.press('Escape')
    await page.getByRole('dialog').waitFor({ state: 'detached' })
    expect(await page.evaluate('document.activeElement.textContent')).toMatch(/^Ozone off/)
  })
})

describe('drawing up', () => {
  const openDraw = async (): Promise<ReturnType<Page['getByRole']>> => {
    await page.getByRole('button', { name: 'Draw up' }).first().click()
    return page.getByRole('dialog')
  }

  it('answers amount and volume as ranges beside the words that it is no dose, and forgets what was typed', async () => {
    await show('standing')
    let dialog = await openDraw()
    await dialog.getByLabel('Volume drawn').fill('20')
    // 20 mL of 17.6 to 18.8 µg/mL hold 352 to 376 µg.
    expect(await seen(dialog)).toContain('holds 352 to 376 µg of dissolved ozone')
    await dialog.getByLabel('Volume that holds an amount').fill('100')
    await dialog.getByLabel('Mark of the syringe').selectOption('0.2')
    // 100 µg ÷ 18.2 µg/mL = 5.49 mL, on 0.2 mL marks 5.4 mL, which hold 95 to 101.5 µg.
    expect(await seen(dialog)).toMatch(/5\.4\smL, to the mark .*; 5\.4\smL hold 95 to 102 µg/)
    expect(await seen(dialog)).toContain('Arithmetic only. Not a dose. The prescriber decides.')
    expect(await seen(dialog)).toContain('Distilled water is hypotonic')
    await page.keyboard.press('Escape')
    dialog = await openDraw()
    expect(await dialog.getByLabel('Volume drawn').inputValue()).toBe('')
    expect(await dialog.getByLabel('Volume that holds an amount').inputValue()).toBe('')
    expect(await dialog.getByLabel('Mark of the syringe').inputValue()).toBe('')
  })

  for (const [state, why] of [
    ['uncalibrated', 'The value is not calibrated'],
    ['stale', 'There is no live value'],
  ] as const)
    it(`refuses arithmetic in "${state}"`, async () => {
      await show(state)
      const dialog = await openDraw()
      await dialog.getByLabel('Volume drawn').fill('20')
      expect(await seen(dialog)).toContain(why)
      expect(await seen(dialog)).not.toMatch(/holds \d/)
    })

  it('does not enter more than is left', async () => {
    await show('standing')
    const dialog = await openDraw()
    await dialog.getByLabel('Your name').fill('M. Example')
    await dialog.getByLabel('Volume drawn').fill('231')
    expect(await seen(dialog)).toMatch(/More than the 230\smL that are left/)
    expect(await dialog.getByRole('button', { name: 'Now', exact: true }).isDisabled()).toBe(true)
  })

  it('gives what was drawn its value at draw and never a live one', async () => {
    await show('standing')
    await page.locator('.drawn').waitFor()
    expect(await seen(page.locator('.drawn'))).toMatch(
      /20\smL, .*at draw 19\.1 µg\/mL \(18\.5 to 19\.7\), calibrated/,
    )
  })
})

describe('alarms and records', () => {
  it('acknowledges an alarm with who and why', async () => {
    await show('alarm', '/alarms')
    const first = page.locator('.alarm').first()
    expect(await seen(first)).toContain('Ozone off. Everyone out. Ventilate.')
    await first.getByLabel('Your name').fill('M. Example')
    await first.getByLabel('Why').fill('window opened')
    await first.getByRole('button', { name: 'Acknowledge' }).click()
    await expect.poll(() => server.state.posted.length).toBe(1)
    expect(server.state.posted[0]?.path).toBe('/api/alarms/A%3Aroom-ozone-ceiling/acknowledgement')
    expect(server.state.posted[0]?.body).toMatchObject({ who: 'M. Example', why: 'window opened' })
  })

  it('says that the sound is off until somebody turns it on', async () => {
    await show('alarm')
    await page.getByRole('button', { name: 'Sound is off: turn on' }).click()
    await page.getByRole('button', { name: 'Sound is on: turn off' }).waitFor()
  })

  it('shows what was taken back and corrected, and the head of the ledger', async () => {
    await show('standing', '/batches/any')
    const record = await seen(page.locator('.record'))
    expect(record).toMatch(/Ozone off \(taken back\)/)
    expect(record).toMatch(/Corrected: happened_at: "14:06:00" becomes "14:06:20"/)
    expect(record).toContain('b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c')
    expect(record).toMatch(/Levels off at\s+21\.4 \(21\.0 to 21\.9\) µg\/mL/)
  })

  it('filters the list of batches and keeps a bound a bound', async () => {
    await show('standing', '/batches')
    await page.getByRole('row', { name: /at least 31\.0 \(clipped\)/ }).waitFor()
    await page.getByLabel('Fluid').selectOption('saline')
    await expect.poll(() => page.locator('tbody tr').count()).toBe(2)
  })
})

describe('weight', () => {
  it('sends at most 200 KB of script, gzipped, and nothing from another address', async () => {
    const folder = join(web.root, 'assets')
    const scripts = readdirSync(folder).filter((f) => f.endsWith('.js'))
    const bytes = scripts
      .map((f) => gzipSync(readFileSync(join(folder, f))).length)
      .reduce((a, b) => a + b, 0)
    expect(bytes).toBeGreaterThan(10_000)
    expect(bytes).toBeLessThanOrEqual(200_000)
    const asked: string[] = []
    page.on('request', (request) => asked.push(new URL(request.url()).host))
    await show('standing')
    expect(new Set(asked)).toEqual(new Set([new URL(server.url).host]))
  })
})
