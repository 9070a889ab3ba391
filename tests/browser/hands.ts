import type { Locator, Page } from 'playwright-core'

/** One way of working at a screen, and nothing else: keys alone, or fingers alone. */
export interface Hands {
  readonly press: (target: Locator) => Promise<void>
  /** Into a field: reached as everything else is, then typed. */
  readonly type: (target: Locator, text: string) => Promise<void>
}

/** More stops than any screen of the program has. */
const MOST_STOPS = 120

/** Tab until the target has the focus, as a person does, who must see where it is at every stop. */
const tabTo = async (page: Page, target: Locator): Promise<void> => {
  await target.waitFor()
  for (let stop = 0; stop < MOST_STOPS; stop++) {
    if (await target.evaluate((e) => e === document.activeElement)) {
      const outline = await target.evaluate((e) => getComputedStyle(e).outlineStyle)
      if (outline === 'none') throw new Error(`nothing shows that the focus is on ${target}`)
      return
    }
    await page.keyboard.press('Tab')
  }
  throw new Error(`${MOST_STOPS} stops of Tab do not reach ${target}`)
}

export const keysOnly = (page: Page): Hands => ({
  press: async (target) => {
    await tabTo(page, target)
    await page.keyboard.press('Enter')
  },
  type: async (target, text) => {
    await tabTo(page, target)
    await page.keyboard.type(text)
  },
})

export const fingersOnly = (page: Page): Hands => ({
  press: (target) => target.tap(),
  type: async (target, text) => {
    await target.tap()
    await page.keyboard.type(text)
  },
})

/** Counts what pointed at the page, by kind: `mouse` and `touch`. For `addInitScript`. */
export const COUNT_POINTERS = `window.pointed = {}
  addEventListener('pointerdown', (e) => { window.pointed[e.pointerType] = (window.pointed[e.pointerType] ?? 0) + 1 }, true)`
