import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page, PageScreenshotOptions } from 'playwright-core'

/** Where the tests leave pictures of the screens for people to look at; not kept in the repository. */
export const PICTURES = join(dirname(fileURLToPath(import.meta.url)), 'pictures')
mkdirSync(PICTURES, { recursive: true })

/** Leaves a picture for whoever wants to look; where nobody does, in CI, it takes minutes for nothing. */
export const picture = async (
  of: Page,
  path: string,
  options: Omit<PageScreenshotOptions, 'path'> = {},
): Promise<void> => {
  if (process.env['CI'] === undefined) await of.screenshot({ ...options, path })
}

export const SIZES = [
  { width: 390, height: 844 },
  { width: 1366, height: 768 },
  { width: 1920, height: 1080 },
] as const

/** How far the page is wider than the window. */
export const overTheSide = (page: Page): Promise<number> =>
  page.evaluate('document.documentElement.scrollWidth - innerWidth')

/** How far the content of an open dialog, or of any field in it, is wider than the dialog. */
export const overTheDialog = (page: Page): Promise<number> =>
  page.evaluate(`(() => {
  const dialog = document.querySelector('dialog')
  if (dialog === null) return 0
  const right = dialog.getBoundingClientRect().right
  return Math.max(...[...dialog.querySelectorAll('*')].map((e) => e.getBoundingClientRect().right - right))
})()`)
