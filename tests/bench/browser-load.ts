import type { Browser, Page } from 'playwright-core'
import { readingsFile } from '../../ingest/store/home.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { launch } from '../browser/browser.ts'
import { meterLine, startMeter } from '../support/meter.ts'
import { showPlainChart } from './chart-peer.ts'
import { openBatch } from './open-batch.ts'
import { type PageLoad, pageLoad } from './page-load.ts'
import { sleep, startProgram } from './program.ts'
import { quantile, type Row } from './row.ts'

const PER_S = 10
const PAST_MIN = 20
const SECONDS = 60
const SETTLE_MS = 8000
/** What the chart of a bench draws at most (`web/charts/chart-data.ts`). */
const PLAIN_POINTS = 1500

const potencyAt = (s: number): number => 20 * (1 - Math.exp(-s / 300)) + Math.sin(s * 7) / 10

/**
 * The screen of a bench with a batch, fed at 10 Hz by the real program with 20 minutes behind it; peer: a plain chart drawn
 * once a second. How late its number is shows at a bench without a batch, where the number is the meter's own.
 */
export const benchBrowser = async (seconds = SECONDS): Promise<Row[]> => {
  const meters = [await startMeter(), await startMeter()] as const
  const began = Date.now() - PAST_MIN * 60_000
  const prepare = (home: string) => storePast(home, began)
  const program = await startProgram(meters, { intervalS: 1 / PER_S, prepare })
  await openBatch(program.address, 'b0', new Date(began))
  const sentAt = new Map<string, number>()
  let count = 0
  const timer = setInterval(() => {
    count += 1
    const counted = (count / 10).toFixed(1)
    sentAt.set(counted, Date.now())
    meters[0].send(meterLine(count, potencyAt((Date.now() - began) / 1000).toFixed(3), 20))
    meters[1].send(meterLine(count, counted, 20))
  }, 1000 / PER_S)
  const browser = await launch()
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } })
  const look = async (bench: string) => {
    await page.goto(`${program.address}/bench/${bench}`)
    await page.locator('.potency-live .number').waitFor()
    await page.locator('.chart canvas').waitFor()
  }
  await look('b1')
  const lateMs = await lateness(page, sentAt)
  await look('b0')
  const live = await settled(browser, seconds)
  program.stop()
  await page.locator('.potency-not-live').waitFor()
  const unspoken = await settled(browser, seconds / 2)
  clearInterval(timer)
  await showPlainChart(page, PLAIN_POINTS)
  const plain = await settled(browser, seconds / 2)
  await browser.close()
  await Promise.all(meters.map((meter) => meter.close()))
  return rows(live, unspoken, plain, lateMs)
}

const settled = async (browser: Browser, seconds: number): Promise<PageLoad> => {
  await sleep(SETTLE_MS)
  return pageLoad(browser, seconds)
}

const storePast = (home: string, began: number): void => {
  const store = new SqliteStore({ path: readingsFile(home), kind: 'simulated', writes: true })
  for (const n of [0, 1])
    store.appendNow(
      Array.from({ length: PAST_MIN * 60 * PER_S }, (_, i) => ({
        series: { bench: `b${n}`, instrument: `m${n}`, channel: 'dissolved-ozone' },
        timeUs: timeUs((began + (i * 1000) / PER_S) * 1000),
        bootId: 'before',
        monoMs: (i * 1000) / PER_S,
        raw: potencyAt(i / PER_S),
        value: potencyAt(i / PER_S),
        quality: 'good',
        movedUs: 0,
      })),
    )
  store.db.close()
}

/** For how long each number stood there after it was sent, ms: from the last byte of its line to the next number. */
const lateness = async (page: Page, sentAt: ReadonlyMap<string, number>): Promise<number[]> => {
  await page.evaluate(`{
    window.shown = []
    const note = () => {
      const text = document.querySelector('.potency-live .number')?.textContent ?? ''
      if (text !== window.shown.at(-1)?.text) window.shown.push({ text, at: Date.now() })
    }
    new MutationObserver(note).observe(document.querySelector('.now-potency'), { subtree: true, childList: true, characterData: true })
  }`)
  const late: number[] = []
  let told = 0
  for (let round = 0; round < 40; round++) {
    await sleep(200)
    const shown = (await page.evaluate('window.shown')) as { text: string; at: number }[]
    for (const [i, { text }] of shown.entries()) {
      const gone = shown[i + 1]?.at
      const sent = sentAt.get(text)
      if (i >= told && gone !== undefined && sent !== undefined) late.push(gone - sent)
    }
    told = shown.length - 1
  }
  return late
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`

const rows = (live: PageLoad, unspoken: PageLoad, plain: PageLoad, lateMs: readonly number[]): Row[] => {
  const row = (what: string, of: PageLoad, budget: string): Row => ({
    what,
    ours: `${percent(of.renderer)} of a core, and ${percent(of.gpu)} to put it on the screen`,
    peer: `${percent(plain.renderer)} and ${percent(plain.gpu)} a plain chart at 1 Hz`,
    ratio: of.renderer / plain.renderer,
    budget,
  })
  return [
    row(`page of a bench at ${PER_S} Hz, ${PAST_MIN} min behind it`, live, '≤ 5 % of a core'),
    row('  the same page with the program gone', unspoken, ''),
    {
      what: `  oldest that a number gets before the next (${lateMs.length} seen)`,
      ours: `p50 ${quantile(lateMs, 0.5).toFixed(0)} ms, most ${Math.max(...lateMs).toFixed(0)} ms`,
      peer: `${1000 / PER_S} ms between two readings`,
      ratio: quantile(lateMs, 0.5) / (1000 / PER_S),
      budget: '≤ 1,000 ms',
    },
  ]
}
