import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { wcagFaults } from './browser.ts'
import { contrasts, cutOff, type Measured, targetSizes } from './measured.ts'
import { overTheSide, PICTURES } from './pictures.ts'
import { openScreen } from './screen.ts'

const screen = openScreen()

/** WCAG 2.2, 1.4.6 and 2.5.5 (AAA): what is read from two metres and pressed in gloves. */
const LEAST_CONTRAST = 7
const LEAST_TARGET_PX = 44

const below = (measured: Measured, least: number): Measured => measured.filter(([, size]) => size < least)

/** The value, its band, the time left, the decision, the next step; every state has some of them. */
const READ = [
  '.potency .number',
  '.potency .unit',
  '.potency .band',
  '.potency .head',
  '.potency .last',
  '.potency .age',
  '.potency .todo',
  '.decision',
  '.countdown-time',
  '.countdown-word',
  '.time-words',
  '.phase',
  '.next-step',
].join(', ')
const PRESSED = '.actions button, .undo-bar button, .unsigned button, .alarm-strip a, .offer button'
const STATES = ['standing', 'bubbling', 'alarm', 'acknowledged', 'by-hand', 'stale', 'clipped', 'too-close']

describe('contrast, measured', () => {
  for (const colorScheme of ['light', 'dark'] as const)
    it(`is at least 7:1 for value, band, time left and every button, ${colorScheme}`, async () => {
      await screen.page.emulateMedia({ colorScheme })
      for (const state of STATES) {
        await screen.show(state)
        const read = await contrasts(screen.page, READ)
        const pressed = await contrasts(screen.page, PRESSED)
        expect(read.length, state).toBeGreaterThan(4)
        expect(pressed.length, state).toBeGreaterThan(2)
        expect(below([...read, ...pressed], LEAST_CONTRAST), state).toEqual([])
      }
    })

  it('is measured as WCAG defines it', async () => {
    await screen.show('standing')
    const painted = async (color: string, background: string) => {
      await screen.page.evaluate(`Object.assign(document.querySelector('h1').style,
        { color: '${color}', background: '${background}' })`)
      return (await contrasts(screen.page, 'h1'))[0]
    }
    const black = await painted('#fff', '#000')
    const grey = await painted('#777', '#fff')
    expect(black?.[1]).toBeCloseTo(21, 6)
    // #777777 on white: 4.48:1, the known near miss of 4.5:1
    expect(grey?.[1]).toBeCloseTo(4.48, 2)
  })
})

describe('targets, measured', () => {
  for (const width of [390, 1366])
    it(`are at least 44 by 44 px on a bench and in its dialogs, ${width} wide`, async () => {
      await screen.page.setViewportSize({ width, height: 844 })
      for (const state of ['standing', 'alarm'] as const) {
        await screen.show(state)
        await screen.page.getByText('Other entries').click()
        const targets = '.top button, .top nav a, .actions button, .actions summary, .alarm-strip a'
        const sizes = await targetSizes(screen.page, targets)
        expect(sizes.length).toBeGreaterThan(8)
        expect(below(sizes, LEAST_TARGET_PX), state).toEqual([])
      }
      await screen.page
        .getByRole('button', { name: /^Draw up/ })
        .first()
        .click()
      await screen.page.getByRole('button', { name: 'Pick a time' }).click()
      const inside = await targetSizes(screen.page, 'dialog button, dialog input, dialog select')
      expect(inside.length).toBeGreaterThan(6)
      expect(below(inside, LEAST_TARGET_PX)).toEqual([])
    })
})

describe('enlarged', () => {
  /** CSS px left of a laptop at 200 %, and the 320 px of WCAG 1.4.10 (1280 px at 400 %). */
  const ENLARGED = [
    { width: 683, height: 384 },
    { width: 320, height: 568 },
  ] as const
  const PAGES = [
    ['standing', '/bench/A'],
    ['alarm', '/bench/A'],
    ['stale', '/bench/A'],
    ['by-hand', '/bench/A'],
    ['long-names', '/bench/A'],
    ['forty-benches', '/'],
    ['alarm', '/alarms'],
    ['standing', '/batches'],
  ] as const
  for (const size of ENLARGED)
    it(`to ${size.width} by ${size.height} nothing is cut off or scrolls in two directions`, async () => {
      await screen.page.setViewportSize(size)
      for (const [state, path] of PAGES) {
        await screen.show(state, path)
        const about = `${state} ${path}`
        await screen.page.screenshot({ path: join(PICTURES, `enlarged-${state}-${size.width}.png`) })
        expect(await overTheSide(screen.page), about).toBeLessThanOrEqual(0)
        expect(await cutOff(screen.page), about).toEqual([])
        expect(await wcagFaults(screen.page), about).toEqual([])
      }
    })

  it('a dialog can be read and entered at 200 %', async () => {
    await screen.page.setViewportSize(ENLARGED[0])
    await screen.show('standing')
    await screen.page
      .getByRole('button', { name: /^Discard/ })
      .first()
      .click()
    const now = screen.page.getByRole('dialog').getByRole('button', { name: 'Now', exact: true })
    await now.scrollIntoViewIfNeeded()
    const box = await now.boundingBox()
    expect(box?.y).toBeGreaterThanOrEqual(0)
    expect((box?.y ?? 0) + (box?.height ?? 0)).toBeLessThanOrEqual(384)
    expect(await cutOff(screen.page)).toEqual([])
  })
})

describe('without colours of its own, without motion', () => {
  const style = (selector: string, property: string): Promise<string> =>
    screen.page
      .locator(selector)
      .first()
      .evaluate((e, name) => getComputedStyle(e).getPropertyValue(name), property)

  it('forced colours: live, not live, alarm, acknowledged and the next step differ in more than colour', async () => {
    await screen.page.emulateMedia({ forcedColors: 'active' })
    await screen.show('alarm')
    expect(await style('.alarm-unacknowledged', 'border-style')).toBe('solid')
    const waiting = await style('.alarm-unacknowledged', 'border-left-width')
    const [next, other] = [
      await style('.act-next', 'border-style'),
      await style('.act:not(.act-next)', 'border-style'),
    ]
    expect(next).not.toBe(other)
    await screen.show('acknowledged')
    expect(await style('.alarm-acknowledged', 'border-left-width')).not.toBe(waiting)
    await screen.show('stale')
    expect(await style('.potency-not-live', 'border-style')).toBe('dashed')
    expect(await style('.potency-not-live .old-number', 'text-decoration-line')).toBe('line-through')
    expect(await style('.potency-not-live', 'border-top-color')).not.toBe(
      await style('.potency-not-live', 'background-color'),
    )
    await screen.page.screenshot({ path: join(PICTURES, 'forced-stale.png') })
    await screen.page.emulateMedia({ forcedColors: 'none' })
  })

  it('reduced motion: nothing moves, and every change of state is there at once', async () => {
    await screen.page.emulateMedia({ reducedMotion: 'reduce' })
    await screen.show('bubbling')
    const moving = `[...document.querySelectorAll('*')].filter((e) => {
      const s = getComputedStyle(e)
      return s.animationName !== 'none' || s.transitionDuration.split(',').some((d) => parseFloat(d) > 0)
    }).map((e) => e.tagName + '.' + e.className)`
    expect(await screen.page.evaluate(moving)).toEqual([])
    await screen.page.emulateMedia({ reducedMotion: 'no-preference' })
    // the same question finds what moves where motion is welcome: it can fail
    expect(await screen.page.evaluate<string[]>(moving)).not.toEqual([])
    await screen.page.emulateMedia({ reducedMotion: 'reduce' })
  })
})
