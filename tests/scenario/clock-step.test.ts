import { describe, expect, it } from 'vitest'
import type { Analysis } from '../../server/analysis/schema.ts'
import { END_S, EVERY_S, FIRST_S, HOUR_S, type Outcome, runBatch } from './batch-on-a-stepped-clock.ts'

/** The numbers of an analysis; its moments are wall times, which a step moves. */
const numbersOf = (analysis: Analysis) =>
  analysis.phases.map((phase) => {
    const { start: _start, end: _end, notes: _notes, ...numbers } = phase
    return numbers
  })

const minutesLeft = ({ look }: Outcome): number =>
  (Date.parse(look?.forecast.reaches_target_at ?? '') - Date.parse(look?.at ?? '')) / 60_000

const rounded = (value: unknown): unknown =>
  JSON.parse(JSON.stringify(value, (_key, v) => (typeof v === 'number' ? Number(v.toPrecision(6)) : v)))

let withoutStep: Promise<Outcome> | undefined

describe('a step of the wall clock by an hour', () => {
  it.each([
    ['forward before the batch is opened', { atS: -120, byS: HOUR_S }],
    ['back before the batch is opened', { atS: -120, byS: -HOUR_S }],
    ['forward while bubbling', { atS: 240, byS: HOUR_S }],
    ['back while bubbling', { atS: 240, byS: -HOUR_S }],
    ['forward while standing', { atS: 900, byS: HOUR_S }],
    ['back while standing', { atS: 900, byS: -HOUR_S }],
  ])('%s is recorded, moves no reading from its place and changes no fit', async (_name, step) => {
    withoutStep ??= runBatch(undefined)
    const [plain, stepped] = await Promise.all([withoutStep, runBatch(step)])
    expect(plain.steps).toEqual([-HOUR_S * 1e6])
    expect(stepped.steps).toEqual([step.byS * 1e6, -HOUR_S * 1e6])
    expect(stepped.gaps).toBe(0)
    expect(stepped.look?.potency.value_mg_l).toBeCloseTo(plain.look?.potency.value_mg_l ?? 0, 0)
    expect(minutesLeft(stepped)).toBeGreaterThan(2)
    // the estimate may rest on a reading or two less: half a minute is far from an hour
    expect(minutesLeft(stepped), 'the countdown runs on the clock as it goes now').toBeCloseTo(
      minutesLeft(plain),
      0,
    )

    const values = (o: Outcome) => o.readings.map((r) => [r.series.channel, r.value])
    expect(values(stepped)).toEqual(values(plain))
    expect(stepped.readings.length).toBe(2 * ((END_S - FIRST_S) / EVERY_S + 1))
    const ozone = stepped.readings.filter((r) => r.series.channel === 'dissolved-ozone')
    for (let i = 1; i < ozone.length; i++) {
      expect(ozone[i]!.timeUs).toBeGreaterThan(ozone[i - 1]!.timeUs)
      expect(ozone[i]!.monoMs - ozone[i - 1]!.monoMs).toBeCloseTo(EVERY_S * 1000, 3)
    }
    const moved = ozone.filter((r) => r.movedUs > 0).length
    expect(moved > 0, 'only a step back has to move names').toBe(step.byS < 0)

    expect(plain.analysis.phases.slice(-2).map((p) => p.kind)).toEqual(['rise', 'decay'])
    expect(plain.analysis.phases.at(-1)?.status).toBe('fitted')
    expect(rounded(numbersOf(stepped.analysis))).toEqual(rounded(numbersOf(plain.analysis)))
    expect(new Set(stepped.rowsApartS), 'the file of readings can be analysed again').toEqual(
      new Set([EVERY_S]),
    )
    expect(stepped.rowsApartS).toEqual(plain.rowsApartS)
    expect(rounded(numbersOf(stepped.afterDiscard))).toEqual(rounded(numbersOf(plain.afterDiscard)))
  })
})
