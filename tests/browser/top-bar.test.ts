import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { openScreen } from './screen.ts'

const screen = openScreen()

const LONG_NAME =
  'Natural medicine practice Dr. Example-Longname and Partners, house by the mill, second floor'

const more = () => screen.page.getByRole('button', { name: /^More/ })
const expanded = () => more().getAttribute('aria-expanded')
const linkTo = (name: string) => screen.page.getByRole('link', { name }).filter({ visible: true })

describe('the heading strip', () => {
  for (const size of SIZES)
    it(`shows a long site name whole, with the daily screens, the alarms that wait and the sound, ${size.width} wide`, async () => {
      const { site } = screen.server.state
      screen.server.state.site = { ...site, name: LONG_NAME }
      await screen.page.setViewportSize(size)
      await screen.show('alarm')
      const name = screen.page.locator('.site span').getByText(LONG_NAME)
      await name.waitFor()
      const cut = `e => [e, e.parentElement].some((x) => x.scrollWidth > x.clientWidth + 1 && getComputedStyle(x).overflow !== 'visible')`
      expect(await name.evaluate(new Function(`return (${cut})`)() as (e: Element) => boolean)).toBe(false)
      const box = await name.boundingBox()
      expect(box?.x).toBeGreaterThanOrEqual(0)
      expect((box?.x ?? 0) + (box?.width ?? 0)).toBeLessThanOrEqual(size.width)
      for (const shown of [linkTo('Benches'), linkTo('Alarms 2 not acknowledged'), more()])
        await shown.waitFor()
      await screen.page.getByRole('button', { name: /^Sound is off: turn on/ }).waitFor()
      expect(await overTheSide(screen.page)).toBeLessThanOrEqual(0)
      await screen.page.screenshot({ path: join(PICTURES, `top-long-name-${size.width}.png`) })
      screen.server.state.site = site
    })

  for (const size of SIZES)
    it(`keeps the other screens and the unit behind “More”, ${size.width} wide`, async () => {
      await screen.page.setViewportSize(size)
      await screen.show('alarm')
      expect(await linkTo('Instruments').count()).toBe(0)
      expect(await expanded()).toBe('false')
      await more().click()
      expect(await expanded()).toBe('true')
      for (const name of ['Plan', 'Sheets', 'Trials', 'Instruments', 'Program', 'Batches'])
        expect(await linkTo(name).count(), name).toBe(1)
      expect(await screen.page.getByLabel('Unit').isVisible()).toBe(true)
      expect(await wcagFaults(screen.page)).toEqual([])
      await screen.page.screenshot({ path: join(PICTURES, `top-more-${size.width}.png`) })
      await linkTo('Instruments').click()
      await screen.page.getByRole('heading', { name: 'Instruments' }).waitFor()
      expect(await expanded()).toBe('false')
      // the way back is told: the present screen is in there
      expect(await more().getAttribute('class')).toContain('more-here')
    })

  it('by keyboard: opens, closes with Escape back on the button, and closes when the focus leaves', async () => {
    await screen.show('standing')
    const focused = () => screen.page.evaluate('document.activeElement?.textContent ?? ""')
    await more().focus()
    await screen.page.keyboard.press('Enter')
    await expect.poll(expanded).toBe('true')
    await screen.page.keyboard.press('Tab')
    expect(await focused()).toBe('Plan')
    await screen.page.keyboard.press('Escape')
    await expect.poll(expanded).toBe('false')
    expect(await focused()).toMatch(/^More/)
    await screen.page.keyboard.press('Space')
    await expect.poll(expanded).toBe('true')
    // five screens and the unit, then out
    for (let i = 0; i < 7; i++) await screen.page.keyboard.press('Tab')
    await expect.poll(expanded).toBe('false')
  })

  it('closes at a tap elsewhere', async () => {
    await screen.show('standing')
    await more().click()
    await screen.page.locator('h1').click()
    await expect.poll(expanded).toBe('false')
  })
})
