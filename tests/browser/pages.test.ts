import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { wcagFaults } from './browser.ts'
import { overTheDialog, overTheSide, PICTURES, SIZES } from './pictures.ts'
import { openScreen, seen, showState } from './screen.ts'

const screen = openScreen()

const picture = async (name: string): Promise<void> => {
  await screen.page.screenshot({ path: join(PICTURES, `${name}.png`) })
  expect(await overTheSide(screen.page), name).toBeLessThanOrEqual(0)
  expect(await overTheDialog(screen.page), name).toBeLessThanOrEqual(0)
}

/** At every size by day and night, each from the same load of the page. */
const everySize = async (name: string): Promise<void> => {
  for (const size of SIZES) {
    await screen.page.setViewportSize(size)
    for (const colorScheme of ['dark', 'light'] as const) {
      await screen.page.emulateMedia({ colorScheme })
      await picture(`${name}-${size.width}-${colorScheme}`)
    }
  }
}

describe('lists, records and what lies behind them', () => {
  for (const path of [
    'batches',
    'batches/any',
    'batches/kept',
    'trials',
    'trials/any',
    'alarms',
    'instruments',
    'set-up',
    'program',
    'nowhere/at/all',
  ])
    it(`"/${path}" breaks no rule and runs off no side, closed and opened`, async () => {
      showState(screen.server, 'alarm')
      await screen.page.goto(`${screen.server.url}/${path}`)
      await screen.page.locator('h1').waitFor()
      await screen.page.locator('.empty', { hasText: 'Asking' }).waitFor({ state: 'detached' })
      await everySize(`page-${path.replaceAll('/', '-')}`)
      expect(await wcagFaults(screen.page), path).toEqual([])
      const closed = await screen.page.locator('summary').all()
      if (closed.length === 0) return
      for (const summary of closed) await summary.click()
      expect(await wcagFaults(screen.page), `${path} opened`).toEqual([])
    })

  it('shows of a trial its answer, with and without the batch that was left out, and why that one does not count', async () => {
    await screen.page.goto(`${screen.server.url}/trials`)
    await screen.page.getByRole('link', { name: 'Saline, 250 mL' }).click()
    await screen.page.getByRole('heading', { name: 'Shown', exact: true }).waitFor()
    await screen.page.getByText('With the batches that were left out: Not shown.').waitFor()
    const row = screen.page.locator('tr', { hasText: 'A-6' })
    expect(await seen(row)).toContain('does not count; left out by Ines: tube slipped off')
    expect(await screen.page.locator('svg .plot-dot').count()).toBeGreaterThan(5)
    await screen.page.getByText('Leave a batch out').click()
    expect(await screen.page.getByRole('button', { name: 'Leave it out' }).isDisabled()).toBe(true)
  })

  it('shows the newest readings that InfluxDB refused, says how many more there are, and shows those when asked', async () => {
    await screen.page.goto(`${screen.server.url}/program`)
    const rows = screen.page.locator('tr', { hasText: 'outside retention policy' })
    await screen.page.getByText('107 more.').waitFor()
    expect(await rows.count()).toBe(10)
    await screen.page.getByRole('button', { name: 'Show 100 more' }).click()
    await screen.page.getByText('7 more.', { exact: false }).filter({ hasNotText: '107' }).waitFor()
    expect(await rows.count()).toBe(110)
    await screen.page.getByRole('button', { name: 'Show 7 more' }).click()
    await rows.nth(116).waitFor()
    expect(await screen.page.getByText(/\d more\./).count()).toBe(0)
  })
})

describe('dialogs', () => {
  it('break no rule and stay inside the window, on a phone and on a desk', async () => {
    await screen.show('standing')
    for (const summary of await screen.page.locator('summary').all()) await summary.click()
    expect(await wcagFaults(screen.page), 'details opened').toEqual([])
    for (const name of ['Draw up', 'Discard', 'Reading by hand', 'Note']) {
      await screen.page.getByRole('button', { name }).first().click()
      await screen.page.getByRole('button', { name: 'Pick a time' }).click()
      expect(await wcagFaults(screen.page), name).toEqual([])
      for (const size of SIZES.slice(0, 2)) {
        await screen.page.setViewportSize(size)
        await picture(`dialog-${name.replaceAll(' ', '-')}-${size.width}`)
      }
      await screen.page.keyboard.press('Escape')
    }
    await screen.page.getByRole('button', { name: 'Discard' }).first().click()
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    await screen.page.getByText('entered for').waitFor()
    expect(await wcagFaults(screen.page), 'just discarded').toEqual([])
    await picture('just-discarded-1366')
  })

  it('break no rule where a batch is opened, and where the connection is lost', async () => {
    await screen.show('no-data')
    await screen.page.getByRole('button', { name: 'Open batch' }).click()
    expect(await wcagFaults(screen.page), 'open batch').toEqual([])
    for (const size of SIZES.slice(0, 2)) {
      await screen.page.setViewportSize(size)
      await picture(`dialog-open-${size.width}`)
    }
    await screen.page.keyboard.press('Escape')
    screen.server.cut(true)
    await screen.page.locator('.not-connected').waitFor()
    expect(await wcagFaults(screen.page), 'not connected').toEqual([])
    await picture('disconnected-1366')
  })
})

describe('other ways to see it', () => {
  it('keeps its frames and words where the system chooses the colours', async () => {
    await screen.page.emulateMedia({ forcedColors: 'active' })
    for (const state of ['standing', 'stale', 'alarm']) {
      await screen.show(state)
      await picture(`forced-${state}`)
    }
    const style = `getComputedStyle(document.querySelector('.alarm')).borderTopStyle`
    expect(await screen.page.evaluate(style)).toBe('solid')
    await screen.page.emulateMedia({ forcedColors: null })
  })

  it('prints the record black on white without buttons, and says simulated on every sheet', async () => {
    screen.server.state.site = { ...screen.server.state.site, simulated: true }
    await screen.page.emulateMedia({ colorScheme: 'dark' })
    await screen.show('standing', '/batches/any')
    await screen.page.locator('.record').waitFor()
    for (const format of ['A4', 'Letter'] as const)
      await screen.page.pdf({ path: join(PICTURES, `record-${format}.pdf`), format })
    await screen.page.emulateMedia({ media: 'print', colorScheme: 'dark' })
    expect(await screen.page.locator('button:visible, nav:visible').count()).toBe(0)
    expect(await screen.page.locator('.simulated').first().isVisible()).toBe(true)
    // What is fixed is painted on each sheet.
    const band = `(({ position, display }) => [position, display])(getComputedStyle(document.querySelector('.simulated-sheet')))`
    expect(await screen.page.evaluate(band)).toEqual(['fixed', 'block'])
    expect(await screen.page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe(
      'rgb(255, 255, 255)',
    )
    await screen.page.emulateMedia({ media: null })
    screen.server.state.site = { ...screen.server.state.site, simulated: false }
  })
})
