import { describe, expect, it } from 'vitest'
import { fakeSheets } from '../support/fake-sheets.ts'
import { wcagFaults } from './browser.ts'
import { pictureOf, picturesOf } from './every-size.ts'
import { overTheSide, SIZES } from './pictures.ts'
import { openScreen, seen } from './screen.ts'
import { STATES } from './screen-states.ts'

const screen = openScreen()

const press = (name: string | RegExp) =>
  screen.page
    .getByRole('button', { name, exact: typeof name === 'string' })
    .first()
    .click()
const dialog = () => screen.page.getByRole('dialog')

describe('opening a batch by a method sheet', () => {
  it('offers the approved ones as big buttons, then lot and moment; no setting can be typed over', async () => {
    screen.server.state.sheets = fakeSheets
    await screen.show('no-data')
    await press(/^Open batch/)
    await dialog()
      .getByRole('button', { name: /^Cold saline 250 mL/ })
      .waitFor()
    expect(
      await dialog()
        .getByRole('button', { name: /^Saline 500 mL/ })
        .count(),
    ).toBe(0)
    expect(await wcagFaults(screen.page)).toEqual([])
    await picturesOf(screen.page, 'open-sheet-choice')
    await press(/^Cold saline 250 mL/)
    await dialog().getByLabel('Your name').fill('M. Example')
    expect(await dialog().getByLabel('Fluid').count()).toBe(0)
    expect(await wcagFaults(screen.page)).toEqual([])
    await press('L 4460')
    await picturesOf(screen.page, 'open-by-sheet')
    await press('Now')
    await screen.page.getByText('entered for').waitFor()
    const sent = screen.server.state.posted[0]?.body.entry
    expect(sent).toMatchObject({
      kind: 'batch-opened',
      data: {
        fluid: 'saline',
        volume_ml: 250,
        target_mg_l: 15,
        temperature_c: 7,
        lot: 'L 4460',
        method_sheet: { sheet: '01900000-0000-7000-8000-00000000e001', version: 1 },
      },
    })
    expect(JSON.stringify(sent)).not.toMatch(/steps|bubble_again|mark_ml|"name"/)
  })

  it('takes a scanned lot, whatever its scanner sends after it, and starts nothing by itself', async () => {
    screen.server.state.sheets = fakeSheets
    await screen.show('no-data')
    await press(/^Open batch/)
    await press(/^Cold saline 250 mL/)
    await screen.page.waitForFunction(`document.activeElement?.tagName === 'INPUT'`)
    await screen.page.keyboard.type('L 9001')
    await screen.page.keyboard.press('Enter')
    await screen.page.keyboard.press('Enter')
    await dialog().getByText('Lot L 9001').waitFor()
    // a second scan takes the place of the first
    await screen.page.keyboard.type('L 9002')
    await screen.page.keyboard.press('Enter')
    await dialog().getByText('Lot L 9002').waitFor()
    expect(screen.server.state.posted).toEqual([])
    await dialog().getByLabel('Your name').fill('M. Example')
    await press('Now')
    await screen.page.getByText('entered for').waitFor()
    expect(screen.server.state.posted[0]?.body.entry).toMatchObject({ data: { lot: 'L 9002' } })
  })

  it('is possible without one, which the form says', async () => {
    screen.server.state.sheets = fakeSheets
    await screen.show('no-data')
    await press(/^Open batch/)
    await press(/^Without a method sheet/)
    await dialog().getByText('Without a method sheet: the record will say so.').waitFor()
    await dialog()
      .getByLabel(/^Volume/)
      .waitFor()
  })
})

describe('bubbling again', () => {
  const standing = (why_not: string | null) => {
    const benches = STATES['standing'] ?? (() => [])
    screen.server.state.benches = (now) =>
      benches(now).map((bench) => ({
        ...bench,
        batch: bench.batch && {
          ...bench.batch,
          method_sheet: { sheet: 's', version: 1, name: 'Cold saline', mark_ml: 1, steps: [] },
          bubbled_again: { times: 0, ozone_min: 7, most_times: 1, most_ozone_min: 12, why_not },
        },
      }))
  }

  it('is offered where the sheet allows it, with the count and the minutes of ozone so far', async () => {
    await screen.show('standing')
    standing(null)
    screen.server.say()
    await press('Bubble again')
    expect(await seen(dialog())).toContain(
      'bubbled again 0 of at most 1 times, ozone on for 7.0 of at most 12 min in all',
    )
    expect(await seen(dialog())).toContain('Hypochlorite, chlorate and bromate')
    expect(await wcagFaults(screen.page)).toEqual([])
    await pictureOf(screen.page, 'bubble-again-1366')
  })

  it('is not offered where it does not', async () => {
    await screen.show('standing')
    for (const summary of await screen.page.locator('summary').all()) await summary.click()
    expect(await screen.page.getByRole('button', { name: /Bubble again|Ozone on/ }).count()).toBe(0)
  })
})

describe('the page of method sheets', () => {
  const show = async () => {
    screen.server.state.sheets = fakeSheets
    await screen.page.goto(`${screen.server.url}/sheets`)
    await screen.page.locator('.sheet').first().waitFor()
  }

  it('shows what is in force, what waits and what that would change', async () => {
    await show()
    const first = screen.page.locator('.sheet').first()
    expect(await seen(first)).toMatch(/Version 1 in force · written by R\. Example.*approved by I\. Example/)
    expect(await seen(first.locator('.sheet-waiting'))).toMatch(/Prep time\s+7 min\s+9 min/)
    expect(await seen(first.locator('.sheet-waiting'))).toMatch(
      /not there\s+Being set up: Gas value and flow/,
    )
    expect(await seen(screen.page.locator('.sheet').nth(2))).toMatch(
      /withdrawn; not in force.*plateau not reached in the trial/,
    )
    expect(await wcagFaults(screen.page)).toEqual([])
    await picturesOf(screen.page, 'page-sheets', true)
    for (const summary of await screen.page.locator('summary').all()) await summary.click()
    await screen.page.setViewportSize(SIZES[0])
    expect(await wcagFaults(screen.page), 'opened').toEqual([])
    expect(await overTheSide(screen.page)).toBeLessThanOrEqual(0)
  })

  it('sends an approval with the version that was looked at', async () => {
    await show()
    await screen.page.locator('.sheet-waiting').getByLabel('Your name').fill('I. Example')
    await press('Approve version 2')
    await screen.page.getByText('Entered.').first().waitFor()
    const [sent] = screen.server.state.posted
    expect(sent?.path).toBe('/api/method-sheets/01900000-0000-7000-8000-00000000e001/approval')
    expect(sent?.body).toMatchObject({ who: 'I. Example', version: 2 })
  })

  it('writes the next version from the newest one, with what was changed', async () => {
    await show()
    const first = screen.page.locator('.sheet').first()
    await first.getByText('Write version 3', { exact: true }).first().click()
    await first.getByLabel(/^Age limit/).fill('45')
    await first
      .getByLabel('Bubbling', { exact: true })
      .fill('Somebody stays with the batch.\nFoam is looked for.')
    const form = first.locator('form').last()
    await form.getByLabel('Your name').fill('R. Example')
    await form.getByRole('button', { name: 'Write version 3' }).click()
    await expect.poll(() => screen.server.state.posted.length).toBe(1)
    expect(screen.server.state.posted[0]?.body).toMatchObject({
      after_version: 2,
      settings: {
        age_limit_min: 45,
        prep_min: 9,
        steps: [
          { step: 'extraction-on', during: 'set-up' },
          { step: 'read-back', during: 'set-up' },
          { step: 'stay', during: 'bubbling' },
          { step: 'foam-is-looked-for', during: 'bubbling', text: 'Foam is looked for.' },
        ],
      },
    })
  })
})
