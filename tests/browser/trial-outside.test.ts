import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { Verdict } from '../../server/wire.ts'
import { wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { openScreen, seen } from './screen.ts'
import { STATES } from './screen-states.ts'

const screen = openScreen()

const OUTSIDE: Verdict = {
  about: 'plateau',
  against: 'history',
  answer: 'differs',
  text: "levels off at 14.2 µg/mL: 21 % below this clinic's own batches, 18.0 to 23.1 µg/mL",
  causes: ['gas set lower than recorded', 'leak'],
}

describe('a batch that does not do what the clinic’s own batches lead to expect', () => {
  it('says so at its bench, with what to look at, at every width by day and night', async () => {
    await screen.show('standing')
    const benches = STATES['standing'] ?? (() => [])
    screen.server.state.benches = (now) => benches(now).map((b) => ({ ...b, verdicts: [OUTSIDE] }))
    screen.server.say()
    const note = screen.page.locator('.outside')
    await note.waitFor()
    expect(await seen(note)).toContain('Not as your own batches lead to expect.')
    expect(await seen(note)).toContain('21 % below')
    expect(await seen(note)).toContain('Look at: gas set lower than recorded, leak.')
    for (const size of SIZES) {
      await screen.page.setViewportSize(size)
      for (const colorScheme of ['light', 'dark'] as const) {
        await screen.page.emulateMedia({ colorScheme })
        await screen.page.screenshot({ path: join(PICTURES, `outside-${size.width}-${colorScheme}.png`) })
        expect(await overTheSide(screen.page)).toBeLessThanOrEqual(0)
        expect(await wcagFaults(screen.page)).toEqual([])
      }
    }
  })

  it('says nothing where a batch agrees, cannot be told, or differs from physics only', async () => {
    await screen.show('standing')
    const benches = STATES['standing'] ?? (() => [])
    const others: Verdict[] = [
      { ...OUTSIDE, answer: 'agrees', text: 'this one agrees' },
      { ...OUTSIDE, answer: 'cannot-tell', text: 'nobody can tell' },
      { ...OUTSIDE, against: 'expectation', text: 'physics expects more' },
    ]
    screen.server.state.benches = (now) => benches(now).map((b) => ({ ...b, verdicts: others }))
    screen.server.say()
    for (const summary of await screen.page.locator('summary').all()) await summary.click()
    await screen.page.getByText('physics expects more').waitFor()
    expect(await screen.page.locator('.outside').count()).toBe(0)
  })
})
