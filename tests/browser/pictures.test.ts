import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type FakeServer, startFakeServer } from '../support/fake-server.ts'
import { buildWebIfOld, WEB_ROOT } from '../support/web-build.ts'
import { launch, watched } from './browser.ts'
import { STATES, stateOf } from './screen-states.ts'

const PICTURES = join(dirname(fileURLToPath(import.meta.url)), 'pictures')

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
  beforeAll(async () => {
    await buildWebIfOld()
    mkdirSync(PICTURES, { recursive: true })
    browser = await launch()
    server = await startFakeServer(
      stateOf(() => []),
      WEB_ROOT,
    )
  })
  afterAll(async () => {
    await browser.close()
    await server.close()
  })

  for (const scheme of ['light', 'dark'] as const)
    for (const size of SIZES)
      it(`nothing runs off the side at ${size.width} px, ${scheme}, and no script fails`, async () => {
        const context = await browser.newContext({ viewport: size, colorScheme: scheme })
        const { page, faults } = await watched(context)
        for (const [name, benches] of Object.entries(STATES)) {
          server.state.benches = benches
          server.state.alarms = (now) => benches(now).flatMap((b) => b.alarms)
          await page.goto(server.url + pageOf(name))
          await page
            .locator(pageOf(name) === '/' ? '.slip' : '.now')
            .first()
            .waitFor()
          await page.waitForTimeout(150)
          await page.screenshot({
            path: join(PICTURES, `${name}-${size.width}-${scheme}.png`),
            fullPage: size.width === 390,
          })
          const over = await page.evaluate('document.documentElement.scrollWidth - innerWidth')
          expect(over, name).toBeLessThanOrEqual(0)
        }
        expect(faults).toEqual([])
        await context.close()
      })
})
