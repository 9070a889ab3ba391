import { afterEach, describe, expect, it } from 'vitest'
import type { LiveReadings } from '../../server/wire.ts'
import { fakeAlarm, fakePotency, standing } from '../support/fake-bench.ts'
import { memoryOf, type PageMemory } from './page-memory.ts'
import { openScreen, showState } from './screen.ts'

const DAY_S = 86_400
const QUARTER_S = DAY_S / 4
const IN_A_MESSAGE = 5
/** After each of these stretches the page is waited for, s. */
const STRETCH_S = 1200
const SECONDS_BETWEEN_NUMBERS = 60
/** Code that is compiled late and the like; a day's readings, if they were held, came to 4 MB. */
const HEAP_SLACK_BYTES = 2_000_000

/** Of the site that the stand-in tells of. */
const SITE_TIME = new Intl.DateTimeFormat('en-GB', {
  timeZone: 'Europe/Zurich',
  hour: '2-digit',
  minute: '2-digit',
})

const readings = (startMs: number, fromS: number): LiveReadings['readings'] =>
  Array.from({ length: IN_A_MESSAGE }, (_, i) => [
    (startMs + (fromS + i) * 1000) * 1000,
    15 + ((fromS + i) % 600) / 100,
    'good',
  ])

describe('a page left open for a day', () => {
  const screen = openScreen()
  afterEach(() => showState(screen.server, 'bubbling'))

  /** Six hours of 1 Hz as the server tells of them: readings, numbers, curves, batches that come and go, alarms. */
  const passes = async (quarter: number, startMs: number): Promise<void> => {
    const { server, page } = screen
    for (let from = quarter * QUARTER_S; from < (quarter + 1) * QUARTER_S; from += STRETCH_S) {
      for (let s = from; s < from + STRETCH_S; s += IN_A_MESSAGE) {
        server.tell('readings', { bench: 'A', channel: 'dissolved-ozone', readings: readings(startMs, s) })
        if (s % SECONDS_BETWEEN_NUMBERS === 0) server.tell('live', standing(startMs + s * 1000))
      }
      const now = startMs + (from + STRETCH_S) * 1000
      const value = 10 + ((from / STRETCH_S) % 500) / 10
      const alarms = (from / STRETCH_S) % 2 === 0 ? [fakeAlarm(now, { key: `A:${from}` })] : []
      const live = standing(now, { alarms, potency: fakePotency(now, { value_mg_l: value }) })
      server.state.benches = () => [live]
      server.tell('entries', {
        batch: `01900000-0000-7000-8000-${String(from).padStart(12, '0')}`,
        bench: 'A',
        seq: from,
      })
      server.say()
      await page.locator('.potency-live .number').getByText(value.toFixed(1), { exact: true }).waitFor()
    }
  }

  /** The picture has a pace of its own, and holds readings too. */
  const drawn = (lastMs: number): Promise<void> =>
    expect
      .poll(() => screen.page.locator('.chart canvas').getAttribute('aria-label'))
      .toContain(`µg/mL at ${SITE_TIME.format(lastMs)}`)

  it('holds no more after the last quarter than after the first', { timeout: 120_000 }, async () => {
    await screen.show('standing')
    const cdp = await screen.page.context().newCDPSession(screen.page)
    const startMs = Date.now()
    const after: PageMemory[] = []
    for (const quarter of [0, 1, 2, 3]) {
      await passes(quarter, startMs)
      await drawn(startMs + ((quarter + 1) * QUARTER_S - 1) * 1000)
      after.push(await memoryOf(cdp))
    }
    await cdp.detach()
    const [first, , , last] = after as [PageMemory, PageMemory, PageMemory, PageMemory]
    expect(last.heapBytes).toBeLessThan(first.heapBytes + HEAP_SLACK_BYTES)
    expect(last.nodes).toBeLessThan(first.nodes + 100)
    expect(last.listeners).toBeLessThan(first.listeners + 20)
  })
})
