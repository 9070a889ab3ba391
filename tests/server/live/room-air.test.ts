import { describe, expect, it } from 'vitest'
import { measuredBatch } from '../../support/measured-batch.ts'

/** A monitor that shows 0.04 ppm, and 0.2 ppm from minute 5 of the batch on. */
const monitor = { channel: 'room-ozone', at: (s: number) => (s >= 300 ? 0.2 : 0.04) } as const
const roomAt = (untilMinute: number) =>
  measuredBatch([], {}, { beside: [monitor], untilMinute })
    .live()
    .room()

describe('ozone in the air of the room', () => {
  it('is the mean of the last minute', () => {
    expect(roomAt(4)?.minutePpm).toBeCloseTo(0.04, 6)
    // thirty seconds and the reading at the turn at 0.2, the rest of the minute at 0.04
    expect(roomAt(5.5)?.minutePpm).toBeGreaterThan(0.115)
    expect(roomAt(5.5)?.minutePpm).toBeLessThan(0.13)
    expect(roomAt(6.2)?.minutePpm).toBeCloseTo(0.2, 6)
  })

  it('over eight hours is Σ C·t/8 h (29 CFR 1910.1000(d)(1)(i)): what was not measured adds nothing', () => {
    // six minutes at 0.04 and an hour at 0.2: (6·0.04 + 60·0.2)/480 = 0.0255 ppm
    const found = roomAt(65)?.eightHoursPpm ?? 0
    expect(Math.abs(found - (6 * 0.04 + 60 * 0.2) / 480)).toBeLessThan(0.0006)
  })

  it('is not there where no monitor is wired', () => {
    expect(measuredBatch([]).live().room()).toBeNull()
  })
})
