import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type FakeServer, startFakeServer } from '../support/fake-server.ts'
import { buildWeb, type WebBuild } from '../support/web-build.ts'
import { launch, watched } from './browser.ts'
import { STATES, stateOf } from './screen-states.ts'

const PICTURES = join(dirname(fileURLToPath(import.meta.url)), 'pictures')

/** How far the content of an open dialog, or of any field in it, is wider than the dialog. */
const DIALOG_OVER = `(() => {
  const dialog = document.querySelector('dialog')
  if (dialog === null) return 0
  const right = dialog.getBoundingClientRect().right
  return Math.max(...[...dialog.querySelectorAll('*')].map((e) => e.getBoundingClientRect().right - right))
})()`

const SIZES = [
  { width: 390, height: 844 },
  { width: 1366, height: 768 },
  { width: 1920, height: 1080 },
] as const

/** Which page shows a state: forty benches are seen at a glance, the others one at a time. */
const pageOf = (state: string): string => (state === 'forty-benches' ? '/' : '/bench/A')

describe('every state at every size, by day and by night', () => {
  let browser: Browser
  let server: FakeServer
  let web: WebBuild
  beforeAll(async () => {
    web = await buildWeb()
    mkdirSync(PICTURES, { recursive: true })
    browser = await launch()
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

  for (const size of SIZES)
    it(`nothing runs off the side at ${size.width} px, and no script fails`, async () => {
      const context = await browser.newContext({ viewport: size })
      const { page, faults } = await watched(context)
      for (const [name, benches] of Object.entries(STATES)) {
        server.state.benches = benches
        server.state.alarms = (now) => benches(now).flatMap((b) => b.alarms)
        await page.goto(server.url + pageOf(name))
        await page
          .locator(pageOf(name) === '/' ? '.slip' : '.now')
          .first()
          .waitFor()
        for (const colorScheme of ['light', 'dark'] as const) {
          await page.emulateMedia({ colorScheme })
          await page.waitForTimeout(150)
          const path = join(PICTURES, `${name}-${size.width}-${colorScheme}.png`)
          await page.screenshot({ path, fullPage: size.width === 390 })
          const over = await page.evaluate('document.documentElement.scrollWidth - innerWidth')
          expect(over, `${name} ${colorScheme}`).toBeLessThanOrEqual(0)
        }
      }
      expect(faults).toEqual([])
      await context.close()
    })

  it('keeps its frames and words where the system chooses the colours', async () => {
    const context = await browser.newContext({
      viewport: { width: 1366, height: 768 },
      forcedColors: 'active',
    })
    const { page } = await watched(context)
    for (const name of ['standing', 'stale', 'alarm']) {
      server.state.benches = STATES[name] ?? (() => [])
      await page.goto(`${server.url}/bench/A`)
      await page.locator('.now').waitFor()
      await page.waitForTimeout(400)
      await page.screenshot({ path: join(PICTURES, `forced-${name}.png`) })
    }
    const style = `getComputedStyle(document.querySelector('.alarm')).borderTopStyle`
    expect(await page.evaluate(style)).toBe('solid')
    await context.close()
  })

  for (const size of SIZES.slice(0, 2))
    it(`lists, records and dialogs stay inside ${size.width} px`, async () => {
      const context = await browser.newContext({ viewport: size, colorScheme: 'light' })
      const { page, faults } = await watched(context)
      const take = async (name: string): Promise<void> => {
        await page.waitForTimeout(500)
        await page.screenshot({
          path: join(PICTURES, `${name}-${size.width}.png`),
          fullPage: !name.includes('dialog'),
        })
        expect(
          await page.evaluate('document.documentElement.scrollWidth - innerWidth'),
          name,
        ).toBeLessThanOrEqual(0)
        expect(await page.evaluate(DIALOG_OVER), name).toBeLessThanOrEqual(0)
      }
      const benches = STATES['alarm'] ?? (() => [])
      server.state.benches = benches
      server.state.alarms = (now) => benches(now).flatMap((b) => b.alarms)
      for (const path of ['batches', 'batches/any', 'alarms', 'instruments', 'program', 'bench/A']) {
        await page.goto(`${server.url}/${path}`)
        await page.locator('h1').waitFor()
        await take(`page-${path.replace('/', '-')}`)
      }
      for (const name of ['Draw up', 'Discard', 'Reading by hand', 'Note']) {
        await page.getByRole('button', { name }).first().click()
        await take(`dialog-${name}`)
        await page.keyboard.press('Escape')
      }
      await page.getByRole('button', { name: 'Discard', exact: true }).click()
      await page.getByRole('button', { name: 'Now', exact: true }).click()
      await take('dialog-undo')
      server.cut(true)
      await page.locator('.not-connected').waitFor()
      await take('disconnected')
      server.cut(false)
      server.state.benches = STATES['no-data'] ?? (() => [])
      await page.goto(`${server.url}/bench/A`)
      await page.getByRole('button', { name: 'Open batch' }).click()
      await take('dialog-open')
      expect(faults.filter((f) => !f.includes('Failed to load resource'))).toEqual([])
      await context.close()
    })

  it('prints the record as black on white, simulated or not said so, without buttons', async () => {
    const context = await browser.newContext({ viewport: { width: 720, height: 1000 }, colorScheme: 'dark' })
    const { page } = await watched(context)
    server.state.site = { ...server.state.site, simulated: true }
    server.state.benches = STATES['standing'] ?? (() => [])
    await page.goto(`${server.url}/batches/any`)
    await page.locator('.record').waitFor()
    await page.waitForTimeout(600)
    await page.pdf({ path: join(PICTURES, 'record.pdf'), format: 'A4' })
    await page.emulateMedia({ media: 'print' })
    await page.screenshot({ path: join(PICTURES, 'print.png'), fullPage: true })
    expect(await page.locator('button:visible, nav:visible').count()).toBe(0)
    expect(await page.locator('.simulated').first().isVisible()).toBe(true)
    expect(await page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe('rgb(255, 255, 255)')
    server.state.site = { ...server.state.site, simulated: false }
    await context.close()
  })
})
