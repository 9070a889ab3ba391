import { describe, expect, it } from 'vitest'
import { openScreen, seen } from './screen.ts'

const screen = openScreen()

describe('alarms and records', () => {
  it('acknowledges an alarm with who and why', async () => {
    await screen.show('alarm', '/alarms')
    const first = screen.page.locator('.alarm').first()
    expect(await seen(first)).toContain('Ozone off. Everyone out. Ventilate.')
    await first.getByLabel('Your name').fill('M. Example')
    await first.getByLabel('Why').fill('window opened')
    await first.getByRole('button', { name: 'Acknowledge' }).click()
    await expect.poll(() => screen.server.state.posted.length).toBe(1)
    expect(screen.server.state.posted[0]?.path).toBe('/api/alarms/A%3Aroom-ozone-ceiling/acknowledgement')
    expect(screen.server.state.posted[0]?.body).toMatchObject({ who: 'M. Example', why: 'window opened' })
  })

  it('says that the sound is off until somebody turns it on, and only then sends notices, one for each alarm', async () => {
    await screen.show('alarm')
    await screen.page.evaluate(`(() => {
      window.notices = []
      window.Notification = class {
        static permission = 'default'
        static requestPermission() {
          this.permission = 'granted'
          return Promise.resolve('granted')
        }
        constructor(title) {
          window.notices.push(title)
        }
      }
    })()`)
    await screen.page.waitForTimeout(1200)
    expect(await screen.page.evaluate('window.notices')).toEqual([])
    await screen.page.getByRole('button', { name: 'Sound is off: turn on' }).click()
    await screen.page.getByRole('button', { name: 'Sound is on: turn off' }).waitFor()
    await expect.poll(() => screen.page.evaluate('window.notices.length')).toBe(2)
    await screen.page.waitForTimeout(1500)
    expect(await screen.page.evaluate('window.notices')).toEqual([
      'Bench A: Will fall below the value you set within 5 min (early bound).',
      'Bench A: Room ozone above the ceiling: 0.14 ppm.',
    ])
  })

  it('shows what was taken back and corrected, and the head of the ledger', async () => {
    await screen.show('standing', '/batches/any')
    const record = await seen(screen.page.locator('.record'))
    expect(record).toMatch(/Ozone off \(taken back\)/)
    expect(record).toMatch(/Corrected: happened_at: "14:06:00" becomes "14:06:20"/)
    expect(record).toContain('b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c')
    expect(record).toMatch(/Levels off at\s+21\.4 \(21\.0 to 21\.9\) µg\/mL/)
  })

  it('shows batches before their results, says that those are being worked out, and fills them in', async () => {
    let held: () => void = () => undefined
    const second = new Promise<void>((resolve) => {
      held = resolve
    })
    let answers = 0
    await screen.page.route('**/api/batches?*', async (route) => {
      answers += 1
      if (answers > 1) {
        await second
        return route.continue()
      }
      // as from a server that has just started: the last row is not worked out yet
      const response = await route.fetch()
      const rows = (await response.json()) as object[]
      const last = { ...rows.at(-1), plateau_mg_l: null, half_life_min: null, pending: true }
      return route.fulfill({ response, json: [...rows.slice(0, -1), last] })
    })
    await screen.show('standing', '/batches')
    const rows = screen.page.locator('tbody tr')
    await screen.page.getByText('… : being worked out.').waitFor()
    const count = await rows.count()
    expect(await seen(rows.last())).toContain('…')
    held()
    await screen.page.getByText('… : being worked out.').waitFor({ state: 'detached' })
    expect(await rows.count()).toBe(count)
    expect(await seen(rows.last())).not.toContain('…')
    await screen.page.unroute('**/api/batches?*')
  })

  it('filters the list of batches and keeps a bound a bound', async () => {
    await screen.show('standing', '/batches')
    await screen.page
      .getByRole('row', { name: /at least 31\.0 \(the meter is at the top of its range\)/ })
      .waitFor()
    await screen.page.getByLabel('Fluid').selectOption('saline')
    await expect.poll(() => screen.page.locator('tbody tr').count()).toBe(2)
  })
})
