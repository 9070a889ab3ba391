import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll } from 'vitest'
import { type RealMeter, startRealMeter } from '../support/real-meter.ts'
import { launch, type Watched, watched } from './browser.ts'

/** The page of instruments of the program as it is built: daemon and server in processes of their own, a meter whose probe is moved. */
export interface InstrumentsPage {
  readonly real: RealMeter
  readonly page: Page
  readonly faults: readonly string[]
  readonly section: (heading: string) => Locator
  readonly press: (name: string) => Promise<void>
}

/** Registers the hooks. The browser is far from the site: its own zone must never be shown. */
export const openInstruments = (): InstrumentsPage => {
  let real: RealMeter
  let browser: Browser
  let open: Watched

  beforeAll(async () => {
    real = await startRealMeter()
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 1366, height: 768 },
      reducedMotion: 'reduce',
      timezoneId: 'America/New_York',
    })
    open = await watched(context)
    open.page.setDefaultTimeout(10_000)
    await open.page.goto(`${real.address}/instruments`)
    await open.page.getByRole('heading', { name: 'meter-a' }).waitFor()
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  return {
    get real() {
      return real
    },
    get page() {
      return open.page
    },
    get faults() {
      return open.faults
    },
    section: (heading) =>
      open.page.locator('section', { has: open.page.getByRole('heading', { name: heading }) }),
    press: (name) => open.page.getByRole('button', { name, exact: true }).click(),
  }
}
