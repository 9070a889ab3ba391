import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core'

const ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

export const launch = (): Promise<Browser> =>
  chromium.launch({ executablePath: '/usr/bin/chromium', args: ARGS })

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

interface Violation {
  readonly id: string
  readonly nodes: readonly { readonly html: string; readonly failureSummary: string }[]
}

/** Rules of WCAG 2.0 to 2.2, A and AA, that the page breaks, one line each; empty when none. */
export const wcagFaults = async (page: Page): Promise<readonly string[]> => {
  await page.evaluate(AXE)
  const run = `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'] }).then((r) => r.violations)`
  const violations = (await page.evaluate(run)) as readonly Violation[]
  return violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.html} ${n.failureSummary}`))
}

/** The same for the stricter AAA contrast of 7:1, inside the parts of the page that these selectors find. */
export const lowContrast = async (page: Page, ...within: readonly string[]): Promise<readonly string[]> => {
  await page.evaluate(AXE)
  const rule = `{ runOnly: { type: 'rule', values: ['color-contrast-enhanced'] } }`
  const parts = JSON.stringify({ include: within.map((selector) => [selector]) })
  const run = `axe.run(${parts}, ${rule}).then((r) => r.violations)`
  const violations = (await page.evaluate(run)) as readonly Violation[]
  return violations.flatMap((v) => v.nodes.map((n) => `${n.html} ${n.failureSummary}`))
}

export interface Watched {
  readonly page: Page
  /** Errors of scripts, refused resources and broken policy rules since the page was opened. */
  readonly faults: string[]
}

export const watched = async (context: BrowserContext): Promise<Watched> => {
  const page = await context.newPage()
  const faults: string[] = []
  page.on('pageerror', (error) => faults.push(String(error)))
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text())
  })
  return { page, faults }
}
