import { join } from 'node:path'
import { expect, it } from 'vitest'
import { PICTURES, SIZES } from './pictures.ts'
import { openScreen, seen } from './screen.ts'

const screen = openScreen()

const row = (table: number, text: string) =>
  screen.page
    .locator('section', { hasText: 'Told elsewhere' })
    .locator('table')
    .nth(table)
    .locator('tr', { hasText: text })

it('says who is not reached and why, which messages wait, were refused or not sent, and never more than is known', async () => {
  await screen.show('alarm', '/alarms')
  await row(0, 'bench staff').waitFor()
  expect(await seen(row(0, 'bench staff'))).toMatch(
    /NOT REACHED: nothing answers there .*tried again at (\d{4}-\d\d-\d\d )?\d\d:\d\d:\d\d/,
  )
  expect(await seen(row(0, 'duty pager'))).toMatch(/webhook at pager\.example.*no trouble known/)
  expect(await seen(row(0, 'clinic lead'))).toMatch(/not acknowledged for 10 min.*never/)
  expect(await seen(row(0, 'heartbeat'))).toMatch(/every 60 s that the program runs.*no trouble known/)
  const messages = await Promise.all((await row(1, 'Bench A').all()).map((each) => seen(each)))
  expect(messages).toHaveLength(5)
  expect(messages[0]).toMatch(/^Raised: Bench A, .*bench staff.*NOT DELIVERED yet: nothing answers there.*9$/)
  expect(messages[1]).toMatch(/^Raised: Bench A, .*duty pager.*delivered at .*\d\d:\d\d.*1$/)
  expect(messages[2]).toMatch(
    /^Only if nobody acknowledges, raised .*: Bench A.*clinic lead.*waits until it is due.*0$/,
  )
  expect(messages[3]).toMatch(/^Not acknowledged, raised .*not sent: acknowledged before it was due/)
  expect(messages[4]).toMatch(
    /^Over, raised .*REFUSED for good at \d{4}-\d\d-\d\d .*: it answered 404: no such hook/,
  )
})

it('is there to be looked at, by day and night', async () => {
  await screen.show('alarm', '/alarms')
  await row(0, 'bench staff').waitFor()
  const section = screen.page.locator('section', { hasText: 'Told elsewhere' })
  for (const size of SIZES)
    for (const colorScheme of ['dark', 'light'] as const) {
      await screen.page.setViewportSize(size)
      await screen.page.emulateMedia({ colorScheme })
      const file = join(PICTURES, `told-elsewhere-${size.width}-${colorScheme}.png`)
      expect((await section.screenshot({ path: file })).length).toBeGreaterThan(10_000)
    }
})
