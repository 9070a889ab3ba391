import { describe, expect, it } from 'vitest'
import { clockStep, systemClock, wallOffsetUs } from '../../ingest/clock.ts'

describe('the clocks', () => {
  it('tell a step of the wall clock from its ordinary slewing', () => {
    expect(clockStep(1e9, 1e9 + 3_600e6)).toBe(3_600e6)
    expect(clockStep(1e9, 1e9 - 3_600e6)).toBe(-3_600e6)
    expect(clockStep(1e9, 1e9 + 20_000)).toBe(0)
  })

  it('run side by side while nobody touches them', async () => {
    const clock = systemClock()
    const before = wallOffsetUs(clock)
    await new Promise((resolve) => setTimeout(resolve, 50))
    expect(clockStep(before, wallOffsetUs(clock))).toBe(0)
  })

  it('give uptime in step with the operating system', async () => {
    const { uptime } = await import('node:os')
    expect(Math.abs(systemClock().monoMs() - uptime() * 1000)).toBeLessThan(1500)
  })
})
