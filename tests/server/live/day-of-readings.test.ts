import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import { io } from 'socket.io-client'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Channel, NewReading } from '../../../ingest/reading/reading.ts'
import { timeUs } from '../../../ingest/units.ts'
import type { LiveReadings } from '../../../server/wire.ts'
import { startPeopleServer } from '../../support/people.ts'
import { until } from '../../support/until.ts'

const SCREENS = 20
const QUARTER_S = 21_600
/** Readings of so many seconds arrive at once. */
const STRETCH_S = 600
const SERIES = { bench: 'A', instrument: 'meter-a' }
const CHANNELS: readonly Channel[] = ['dissolved-ozone', 'fluid-temperature']
/** Code that is compiled late and the like; a day of two channels, if it were kept, came to 5 MB. */
const SLACK_BYTES = 1_500_000

const wired = (channel: Channel) => ({
  ...SERIES,
  channel,
  site: 'Test clinic',
  unit: 'x',
  port: 'meter-a',
  fullScale: null,
  intervalS: 1,
  wired: true,
})

const readings = (startMs: number, fromS: number): NewReading[] =>
  Array.from({ length: STRETCH_S }, (_, i) => fromS + i).flatMap((s) =>
    CHANNELS.map((channel) => ({
      series: { ...SERIES, channel },
      timeUs: timeUs((startMs + s * 1000) * 1000),
      bootId: 'boot',
      monoMs: s * 1000,
      raw: s,
      value: s,
      quality: 'good',
      movedUs: 0,
    })),
  )

setFlagsFromString('--expose-gc')
const collect = runInNewContext('gc') as () => void

/** Heap and buffers outside it: the columns of readings are such buffers. The least of some rounds. */
const heldBytes = async (): Promise<number> => {
  let least = Number.POSITIVE_INFINITY
  for (let round = 0; round < 5; round++) {
    collect()
    const { heapUsed, external } = process.memoryUsage()
    least = Math.min(least, heapUsed + external)
    await new Promise((later) => setTimeout(later, 50))
  }
  return least
}

describe('a server after a day of readings', () => {
  it('holds no more of a bench between batches than after six hours, with twenty screens open', async () => {
    const { address, service, store, clock, advance } = await startPeopleServer(CHANNELS.map(wired))
    service.engine.start()
    let newest = 0
    const screens = Array.from({ length: SCREENS }, () => io(address, { transports: ['websocket'] }))
    onTestFinished(() => {
      for (const screen of screens) screen.close()
    })
    const heard = screens.map(() => 0)
    for (const [i, screen] of screens.entries()) {
      await screen.emitWithAck('watch', 'A')
      screen.on('readings', (news: LiveReadings) => {
        heard[i] = Math.max(heard[i] ?? 0, ...news.readings.map(([us]) => us))
      })
    }
    const startMs = clock.ms
    const held: number[] = []
    for (let quarter = 0; quarter < 4; quarter++) {
      for (let s = quarter * QUARTER_S; s < (quarter + 1) * QUARTER_S; s += STRETCH_S) {
        store.appendNow(readings(startMs, s))
        advance(STRETCH_S * 1000)
        newest = (startMs + (s + STRETCH_S - 1) * 1000) * 1000
        await until('every screen to have heard of it', () => heard.every((us) => us === newest))
      }
      held.push(await heldBytes())
    }
    expect(service.engine.bench('A')?.live.potency).toMatchObject({
      state: 'live',
      value_mg_l: 4 * QUARTER_S - 1,
    })
    expect(held[3]).toBeLessThan((held[0] ?? 0) + SLACK_BYTES)
  }, 120_000)
})
