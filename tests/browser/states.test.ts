import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { lowContrast, wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { openScreen } from './screen.ts'
import { STATES } from './screen-states.ts'

const screen = openScreen()

/** Too much promised by any of these, in any state. */
const PROMISES = /\bOK\b|\bready\b|\bgood\b|safe until|✓|✔/i
/** States whose colours differ enough to be looked at by night as well, and at 7:1. */
const BY_NIGHT = new Set(['standing', 'stale', 'alarm', 'uncalibrated', 'acknowledged', 'forty-benches'])
const AT_A_GLANCE = 'forty-benches'

/** Each state is loaded once: pictures at every size by day and night, then the rules of WCAG 2.2 A and AA. */
describe('every state of a bench', () => {
  for (const state of Object.keys(STATES))
    it(`"${state}" breaks no rule, promises nothing, and runs off no side`, async () => {
      const path = state === AT_A_GLANCE ? '/' : '/bench/A'
      await screen.show(state, path)
      for (const size of SIZES) await pictures(state, size)
      await screen.page.setViewportSize({ width: 1366, height: 768 })
      expect(await screen.words(), state).not.toMatch(PROMISES)
      await rules(state, path === '/' ? [] : ['.now', '.actions', '.alarm-strip'])
      if (path === '/') return
      await screen.page.getByRole('link', { name: 'Benches' }).click()
      await screen.page.locator('.slip').waitFor()
      expect(await screen.words(), `${state} at a glance`).not.toMatch(PROMISES)
      expect(await wcagFaults(screen.page), `${state} at a glance`).toEqual([])
    })

  const pictures = async (state: string, size: (typeof SIZES)[number]): Promise<void> => {
    await screen.page.setViewportSize(size)
    for (const colorScheme of ['dark', 'light'] as const) {
      await screen.page.emulateMedia({ colorScheme })
      const path = join(PICTURES, `${state}-${size.width}-${colorScheme}.png`)
      await screen.page.screenshot({ path })
      expect(await overTheSide(screen.page), `${state} ${size.width} ${colorScheme}`).toBeLessThanOrEqual(0)
    }
  }

  const rules = async (state: string, large: readonly string[]): Promise<void> => {
    for (const colorScheme of BY_NIGHT.has(state) ? (['dark', 'light'] as const) : (['light'] as const)) {
      await screen.page.emulateMedia({ colorScheme })
      expect(await wcagFaults(screen.page), `${state}, ${colorScheme}`).toEqual([])
      if (BY_NIGHT.has(state) && large.length > 0)
        expect(await lowContrast(screen.page, ...large), `${state}, ${colorScheme}, 7:1`).toEqual([])
    }
  }
})

describe('what stands in the first view', () => {
  const bottom = async (selector: string): Promise<number> => {
    const box = await screen.page.locator(selector).first().boundingBox()
    return (box?.y ?? Number.POSITIVE_INFINITY) + (box?.height ?? 0)
  }

  it('on a phone: a header of at most 15 %, the value, the decision and the next step', async () => {
    screen.server.state.site = { ...screen.server.state.site, simulated: true }
    await screen.page.setViewportSize({ width: 390, height: 844 })
    for (const state of ['standing', 'bubbling', 'uncalibrated', 'acknowledged', 'stale'] as const) {
      await screen.show(state)
      await screen.page.locator('.simulated').waitFor()
      expect(await bottom('.simulated'), state).toBeLessThanOrEqual(0.15 * 844)
      expect(await bottom('.next-step'), state).toBeLessThanOrEqual(844)
    }
    screen.server.state.site = { ...screen.server.state.site, simulated: false }
  })

  it('on a desk: one line of header, and everything down to the buttons', async () => {
    screen.server.state.site = { ...screen.server.state.site, simulated: true }
    for (const state of ['standing', 'bubbling', 'uncalibrated', 'acknowledged', 'by-hand'] as const) {
      await screen.show(state)
      await screen.page.locator('.simulated').waitFor()
      expect(await bottom('.top'), state).toBeLessThanOrEqual(60)
      expect(await bottom('.action-buttons'), state).toBeLessThanOrEqual(768)
    }
    screen.server.state.site = { ...screen.server.state.site, simulated: false }
  })
})
