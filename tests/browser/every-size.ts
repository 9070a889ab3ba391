import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { expect } from 'vitest'
import { wcagFaults } from './browser.ts'
import { overTheDialog, overTheSide, PICTURES, SIZES } from './pictures.ts'

/** At every size, by day and by night: nothing hangs over the side, and no rule of WCAG is broken. Leaves a picture of each. */
export const everySize = async (page: Page, name: string): Promise<void> => {
  for (const size of SIZES) {
    await page.setViewportSize(size)
    for (const colorScheme of ['dark', 'light'] as const) {
      await page.emulateMedia({ colorScheme })
      await page.mouse.wheel(0, 5000)
      await page.evaluate('new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))')
      await page.screenshot({
        path: join(PICTURES, `${name}-${size.width}-${colorScheme}.png`),
        fullPage: true,
      })
      expect(await overTheSide(page), `${name} ${size.width}`).toBeLessThanOrEqual(0)
      expect(await wcagFaults(page), `${name} ${size.width} ${colorScheme}`).toEqual([])
    }
  }
  await page.setViewportSize({ width: 1366, height: 768 })
}

/** One picture, of the window or the whole page: nothing hangs over the side of it or of an open dialog. */
export const pictureOf = async (page: Page, name: string, fullPage = false): Promise<void> => {
  await page.screenshot({ path: join(PICTURES, `${name}.png`), fullPage })
  expect(await overTheSide(page), name).toBeLessThanOrEqual(0)
  expect(await overTheDialog(page), name).toBeLessThanOrEqual(0)
}

/** The same at every size, by day and by night. */
export const picturesOf = async (page: Page, name: string, fullPage = false): Promise<void> => {
  for (const size of SIZES) {
    await page.setViewportSize(size)
    for (const colorScheme of ['dark', 'light'] as const) {
      await page.emulateMedia({ colorScheme })
      await pictureOf(page, `${name}-${size.width}-${colorScheme}`, fullPage)
    }
  }
}
