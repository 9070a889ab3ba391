import { describe, expect, it } from 'vitest'
import { wcagFaults } from './browser.ts'
import { openScreen } from './screen.ts'
import { STATES } from './screen-states.ts'

const screen = openScreen()

describe('a change that nobody entered', () => {
  it('offers a change that nobody entered, enters it for the moment it shows, and takes no for an answer', async () => {
    await screen.show('bubbling')
    const benches = STATES['bubbling'] ?? (() => [])
    const at = new Date(Date.now() - 90_000).toISOString()
    screen.server.state.benches = (now) =>
      benches(now).map((b) => ({ ...b, offer: { kind: 'ozone-off' as const, at } }))
    screen.server.say()
    const offer = screen.page.locator('.offer')
    await offer.waitFor()
    expect(await wcagFaults(screen.page)).toEqual([])
    await offer.getByRole('button', { name: /^Ozone off at (\d{4}-\d\d-\d\d )?\d\d:\d\d:\d\d$/ }).click()
    await screen.page.getByText('entered for').waitFor()
    expect(screen.server.state.posted.map((p) => [p.body.entry, p.body.happened_at])).toEqual([
      [{ kind: 'ozone-off' }, at],
    ])
    await offer.getByRole('button', { name: 'No', exact: true }).click()
    await offer.waitFor({ state: 'detached' })
  })
})
