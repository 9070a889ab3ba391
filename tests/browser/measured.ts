import type { Page } from 'playwright-core'

/** What a page measures of itself, for tests that count pixels and contrast instead of trusting the style sheet. */

/**
 * WCAG 2.2 contrast ratio of the text of each visible element that a selector finds, against the nearest painted background
 * behind it; relative luminance after WCAG 2.2, "relative luminance" (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance).
 */
const CONTRASTS = `(selector) => {
  const channels = (css) => {
    const [r = 0, g = 0, b = 0, a = 1] = (css.match(/[\\d.]+/g) ?? []).map(Number)
    return { r, g, b, a }
  }
  const over = (top, under) => ({
    r: top.r * top.a + under.r * (1 - top.a),
    g: top.g * top.a + under.g * (1 - top.a),
    b: top.b * top.a + under.b * (1 - top.a),
    a: 1,
  })
  const linear = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4)
  const luminance = ({ r, g, b }) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
  const behind = (element) => {
    if (element === null) return { r: 255, g: 255, b: 255, a: 1 }
    const own = channels(getComputedStyle(element).backgroundColor)
    return own.a === 1 ? own : over(own, behind(element.parentElement))
  }
  return [...document.querySelectorAll(selector)]
    .filter((e) => e.checkVisibility() && e.getBoundingClientRect().width > 1)
    .map((e) => {
      const paper = behind(e)
      const ink = over(channels(getComputedStyle(e).color), paper)
      const [dark, light] = [luminance(ink), luminance(paper)].sort((a, b) => a - b)
      return [e.className + ' ' + e.textContent.trim().slice(0, 30), (light + 0.05) / (dark + 0.05)]
    })
}`

export type Measured = readonly (readonly [what: string, size: number])[]

export const contrasts = (page: Page, selector: string): Promise<Measured> =>
  page.evaluate(`(${CONTRASTS})(${JSON.stringify(selector)})`)

/** The shorter side of each visible target that a selector finds, CSS px. */
export const targetSizes = (page: Page, selector: string): Promise<Measured> =>
  page.evaluate(`(selector => [...document.querySelectorAll(selector)]
    .filter((e) => e.checkVisibility())
    .map((e) => {
      const { width, height } = e.getBoundingClientRect()
      return [e.textContent.trim().slice(0, 30), Math.round(10 * Math.min(width, height)) / 10]
    }))(${JSON.stringify(selector)})`)

/** Elements with text that is cut at their own edge or reaches over the window's. */
export const cutOff = (page: Page): Promise<readonly string[]> =>
  page.evaluate(`[...document.querySelectorAll('body *')]
    .filter((e) => e.checkVisibility() && e.childElementCount === 0 && e.textContent.trim() !== '')
    .filter((e) => e.closest('.unseen, .skip, .scrolls, canvas, select') === null)
    .filter((e) => {
      const { left, right } = e.getBoundingClientRect()
      const hidden = getComputedStyle(e).overflowX !== 'visible' && e.scrollWidth > e.clientWidth + 1
      return hidden || left < -0.5 || right > innerWidth + 0.5
    })
    .map((e) => e.className + ' ' + e.textContent.trim().slice(0, 40))`)
