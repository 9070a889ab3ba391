import { expect, it } from 'vitest'
import type { Channel, NewReading } from '../../../ingest/reading/reading.ts'
import { timeUs } from '../../../ingest/units.ts'
import { startPeopleServer } from '../../support/people.ts'
import { until } from '../../support/until.ts'

const AIR = { bench: 'A', instrument: 'monitor', channel: 'room-ozone' as Channel }

/** A minute of a monitor at 1 Hz. */
const minute = (startMs: number, ppm: number): NewReading[] =>
  Array.from({ length: 60 }, (_, s) => ({
    series: AIR,
    timeUs: timeUs((startMs + s * 1000) * 1000),
    ...{ bootId: 'boot', monoMs: startMs + s * 1000, raw: ppm, value: ppm, quality: 'good', movedUs: 0 },
  }))

it('a bench whose room holds too much ozone is told to be left, and asks for a batch again when the air is clear', async () => {
  const wired = {
    site: 'Test clinic',
    unit: 'ppm',
    port: 'monitor',
    fullScale: null,
    intervalS: 1,
    wired: true,
  }
  const { service, store, clock, advance } = await startPeopleServer([{ ...AIR, ...wired }])
  service.engine.start()
  const bench = () => service.engine.bench('A')?.live
  const air = async (ppm: number) => {
    store.appendNow(minute(clock.ms, ppm))
    advance(60_000)
    await until(`${ppm} ppm on the bench`, () => bench()?.room_ozone_ppm === ppm)
  }
  await air(0.02)
  expect(bench()?.next_step.action).toBe('open')
  await air(0.2)
  await until('the alarm', () => bench()?.alarms.some((a) => a.alarm === 'room-ozone-ceiling') === true)
  expect(bench()?.next_step).toEqual({ text: 'Ozone off. Everyone out. Ventilate.', action: null })
  await air(0.02)
  await air(0.021)
  await until('the air to be clear', () => bench()?.next_step.action === 'open')
}, 30_000)
