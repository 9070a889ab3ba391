import type { Locator, Page } from 'playwright-core'

/** One way of working at a screen, and nothing else: keys alone, or fingers alone. */
export interface Hands {
  readonly press: (target: Locator) => Promise<void>
  /** Into a field, in place of what stands there: reached as everything else is, then typed. */
  readonly type: (target: Locator, text: string) => Promise<void>
  /** A box to tick. */
  readonly tick: (target: Locator) => Promise<void>
  /** Of a list: by the text or the value of the choice, or by its place. */
  readonly choose: (target: Locator, choice: string | number) => Promise<void>
}

/** More stops than any screen of the program has. */
const MOST_STOPS = 120

/** Lower than this a glove misses it, CSS px. */
const LOWEST_TARGET = 44

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
    await page.keyboard.press('Control+A')
    await page.keyboard.type(text)
  },
  tick: async (target) => {
    await tabTo(page, target)
    await page.keyboard.press('Space')
  },
  choose: async (target, choice) => {
    const place = await placeOf(target, choice)
    await tabTo(page, target)
    await page.keyboard.press('Home')
    for (let down = 0; down < place; down++) await page.keyboard.press('ArrowDown')
    const chosen = await target.evaluate((list) => (list as HTMLSelectElement).selectedIndex)
    if (chosen !== place) throw new Error(`the keys chose ${chosen} and not ${place} of ${target}`)
  },
})

export const fingersOnly = (page: Page): Hands => ({
  press: (target) => tap(target),
  type: async (target, text) => {
    await tap(target)
    // the focus comes a moment after the finger; what marks the old text is the device's own
    await target.and(page.locator(':focus')).waitFor()
    await target.selectText()
    await page.keyboard.type(text)
  },
  tick: (target) => tap(target),
  // what a tap on a list opens is the device's own and no part of the page
  choose: async (target, choice) => {
    await tap(target)
    await target.selectOption({ index: await placeOf(target, choice) })
  },
})

/** A target in a line of text may be as low as the line; of a box to tick its label counts. */
const tap = async (target: Locator): Promise<void> => {
  await target.waitFor()
  const height = await target.evaluate((e) =>
    getComputedStyle(e).display === 'inline'
      ? null
      : (e.closest('label') ?? e).getBoundingClientRect().height,
  )
  if (height !== null && height < LOWEST_TARGET - 0.5)
    throw new Error(`${target} is ${height} px high, a finger needs ${LOWEST_TARGET}`)
  await target.tap()
}

const placeOf = async (target: Locator, choice: string | number): Promise<number> => {
  if (typeof choice === 'number') return choice
  const option = target.locator(`option[value="${choice}"]`).or(target.locator('option', { hasText: choice }))
  await option.first().waitFor({ state: 'attached' })
  return option.first().evaluate((e) => (e as HTMLOptionElement).index)
}

/** Both ways with the context of the browser each needs and the kinds of pointers it leaves behind. */
export const WAYS = [
  { way: 'keys alone', handsOf: keysOnly, device: { hasTouch: false }, pointers: [] },
  { way: 'touch alone', handsOf: fingersOnly, device: { hasTouch: true }, pointers: ['touch'] },
] as const

/** Counts what pointed at the page, by kind: `mouse` and `touch`, over all addresses of a tab. For `addInitScript`. */
export const COUNT_POINTERS = `window.pointed = JSON.parse(sessionStorage.getItem('pointed') ?? '{}')
  addEventListener('pointerdown', (e) => {
    window.pointed[e.pointerType] = (window.pointed[e.pointerType] ?? 0) + 1
    sessionStorage.setItem('pointed', JSON.stringify(window.pointed))
  }, true)`
