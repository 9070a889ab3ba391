import { describe, expect, it } from 'vitest'
import { temperatureBetween } from '../../../server/report/bubbling-temperature.ts'
import { atMinute } from '../../support/entries.ts'
import { measuredBatch } from '../../support/measured-batch.ts'

describe('the temperature of the bubbling', () => {
  it('is the mean between two moments, gaps left out', () => {
    const { input } = measuredBatch([]).read()
    const startMs = input.startUs / 1000
    const minutes = Array.from({ length: 31 }, (_, minute) => minute)
    const course = {
      timesS: Float64Array.from(minutes, (m) => (Date.parse(atMinute(m)) - startMs) / 1000),
      // 7 °C for ten minutes, then a degree warmer each minute; one cell without a number
      celsius: Float64Array.from(minutes, (m) => (m === 4 ? Number.NaN : 7 + Math.max(0, m - 10))),
    }
    const warming = { ...input, temperature: course }
    expect(temperatureBetween(warming, atMinute(1), atMinute(9))).toBeCloseTo(7, 9)
    expect(temperatureBetween(warming, atMinute(10), atMinute(30))).toBeCloseTo(17, 1)
  })

  it('is not known without a thermometer', () => {
    const { temperature: _, ...blind } = measuredBatch([]).read().input
    expect(temperatureBetween(blind, atMinute(1), atMinute(9))).toBeUndefined()
  })
})
