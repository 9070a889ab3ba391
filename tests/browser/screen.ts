import type { Browser, BrowserContext, Locator, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, expect } from 'vitest'
import { type FakeServer, startFakeServer } from '../support/fake-server.ts'
import { buildWeb, type WebBuild } from '../support/web-build.ts'
import { launch, type Watched, watched } from './browser.ts'
import { STATES, stateOf } from './screen-states.ts'

/** One browser, one page and one stand-in server for a test file; each test finds the page as if newly opened. */
export interface Screen {
  readonly page: Page
  readonly server: FakeServer
  readonly root: string
  readonly show: (state: string, path?: string) => Promise<void>
  readonly words: () => Promise<string>
}

/** Registers the hooks. A script error, a refused resource or a broken policy rule fails the test it happened in. */
export const openScreen = (): Screen => {
  let browser: Browser
  let context: BrowserContext
  let server: FakeServer
  let web: WebBuild
  let open: Watched

  beforeAll(async () => {
    web = await buildWeb()
    browser = await launch()
    // A browser far from the site: its own zone must never be shown.
    context = await browser.newContext({ timezoneId: 'America/New_York', reducedMotion: 'reduce' })
    open = await watched(context)
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
    open.faults.length = 0
    await open.page.setViewportSize({ width: 1366, height: 768 })
    await open.page.emulateMedia({ colorScheme: 'light' })
    // The name a test typed is not the next one's.
    if (open.page.url().startsWith(server.url)) await open.page.evaluate('sessionStorage.clear()')
  })

  afterEach(async () => {
    server.cut(false)
    server.hush(false)
    server.state.posted = []
    server.state.refuse = null
    server.state.sheets = () => []
    expect(open.faults.filter((fault) => !fault.includes('Failed to load resource'))).toEqual([])
  })

  return {
    get page() {
      return open.page
    },
    get server() {
      return server
    },
    get root() {
      return web.root
    },
    show: async (state, path = '/bench/A') => {
      showState(server, state)
      await open.page.goto(server.url + path)
      await open.page.locator('.now, .slip, .page > :is(section, table, dl, form)').first().waitFor()
    },
    words: () => seen(open.page.locator('body')),
  }
}

export const showState = (server: FakeServer, state: string): void => {
  const benches = STATES[state]
  if (benches === undefined) throw new Error(`there is no state "${state}"`)
  server.state.benches = benches
  server.state.alarms = (now) => benches(now).flatMap((b) => b.alarms)
}

/** Text as it is painted, line breaks and hidden parts included, which the text of the nodes is not. */
// biome-ignore lint/performance/useDomNodeTextContent: the painted text is what a person reads
export const seen = (locator: Locator): Promise<string> => locator.innerText()
