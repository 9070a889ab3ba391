import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { calibrate } from '../../server/wire/request-schema.ts'
import { wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { openScreen, seen, showState } from './screen.ts'

const screen = openScreen()

const open = async (): Promise<void> => {
  showState(screen.server, 'standing')
  await screen.page.goto(`${screen.server.url}/instruments`)
  await screen.page.getByRole('heading', { name: 'meter-a' }).waitFor()
}
const sheet = () =>
  screen.page.locator('section', { has: screen.page.getByRole('heading', { name: 'meter-a' }) })

const everySize = async (name: string): Promise<void> => {
  for (const size of SIZES) {
    await screen.page.setViewportSize(size)
    for (const colorScheme of ['dark', 'light'] as const) {
      await screen.page.emulateMedia({ colorScheme })
      // what lies below the window is painted in the new colours a moment later
      await screen.page.mouse.wheel(0, 5000)
      await screen.page.evaluate(
        'new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))',
      )
      await screen.page.screenshot({
        path: join(PICTURES, `${name}-${size.width}-${colorScheme}.png`),
        fullPage: true,
      })
      expect(await overTheSide(screen.page), name).toBeLessThanOrEqual(0)
    }
  }
}

describe('the sheet of an instrument', () => {
  it('says that its calibration is overdue, how it drifted and which batches are in doubt', async () => {
    await open()
    const words = await seen(sheet())
    expect(words).toMatch(/Overdue since/)
    expect(words).toMatch(/0[.]980 ± 3[.]0 %/)
    expect(words).toMatch(/-4[.]2 %, within limit|−4[.]2 %, within limit/)
    expect(words).toMatch(/Found off its limit \(thermometer\)/)
    expect(await sheet().getByRole('link', { name: 'A-2026-03-14-1' }).getAttribute('href')).toMatch(
      /^\/batches\//,
    )
    expect(await seen(screen.page.getByRole('heading', { name: 'Checks' }).locator('..'))).toMatch(
      /0\.7 for 0 ± 0\.05 °C, limit 0\.5: failed/,
    )
    expect(words).toMatch(/Probe response time 13[.]2 ± 0[.]4 s, step test/)
    expect(words).toMatch(/0[.]8 ± 0[.]4 % of span, within limit/)
    expect(words).toMatch(/meter compensates: membrane and solubility/)
    expect(words).toMatch(/entered later/)
    expect(await seen(screen.page.getByRole('heading', { name: 'Checks' }).locator('..'))).toMatch(
      /Found off its limit \(flowmeter, flowmeter bench A\)/,
    )
  })

  it('works slope and zero out from points, shows them before saving, and records the points with them', async () => {
    await open()
    await sheet().getByText('Enter a calibration').click()
    const fill = (label: string, text: string) => sheet().getByLabel(label, { exact: true }).fill(text)
    await sheet().getByRole('button', { name: 'Work out slope and zero' }).click()
    await sheet().getByText('Type at least one reference value and what the meter showed.').waitFor()
    const rows = [
      ['0', '0', '0,2', '0.05'],
      ['20', '0.4', '19.2', '0.1'],
    ]
    for (const [i, [reference, uReference, shown, uShown]] of rows.entries()) {
      await fill(`Point ${i + 1}: reference`, reference ?? '')
      await fill(`Point ${i + 1}: its ±`, uReference ?? '')
      await fill(`Point ${i + 1}: shown`, shown ?? '')
      await fill(`Point ${i + 1}: shown ±`, uShown ?? '')
    }
    await sheet().getByRole('button', { name: 'Work out slope and zero' }).click()
    await sheet()
      .getByText(/Worked out from 2 points/)
      .waitFor()
    expect(
      await sheet()
        .getByLabel(/^Slope/)
        .inputValue(),
    ).toBe('0.95000')
    await sheet().getByLabel('Channel').selectOption('dissolved-ozone')
    await sheet()
      .getByLabel(/^Reference method/)
      .fill('indigo, dye lot 8')
    await sheet()
      .getByLabel(/^As found: shown/)
      .fill('19')
    await sheet()
      .getByText('Type both the value shown as found and the reference as found, or neither.')
      .waitFor()
    await sheet()
      .getByLabel(/^As found: reference/)
      .fill('20')
    await sheet()
      .getByLabel(/^Due again on/)
      .fill('2026-06-01')
    await sheet()
      .getByLabel(/^The probe senses/)
      .selectOption('activity')
    await sheet().getByText('Type the temperature of the fluid').waitFor()
    await sheet()
      .getByLabel(/^Temperature of the fluid/)
      .fill('20')
    await sheet()
      .getByLabel(/^Your name/)
      .fill('M. Example')
    expect(await wcagFaults(screen.page)).toEqual([])
    await everySize('calibration-form')
    await screen.page.emulateMedia({ colorScheme: 'dark' })
    expect(await wcagFaults(screen.page), 'dark').toEqual([])
    await sheet().getByRole('button', { name: 'Enter calibration' }).click()
    await sheet().getByText('Entered.').waitFor()
    const sent = screen.server.state.posted.findLast((p) => p.path === '/api/calibrations')
    const { data } = calibrate.parse(sent?.body)
    expect(data).toMatchObject({
      slope: 0.95,
      zero: 0.2,
      points: [
        { reference: 0, u_reference: 0, shown: 0.2, u_shown: 0.05 },
        { reference: 20, u_reference: 0.4, shown: 19.2, u_shown: 0.1 },
      ],
      as_found: { shown: 19, reference: 20 },
      due_at: '2026-06-01T23:59:59.000Z',
      senses: 'activity',
      temperature_c: 20,
    })
  })

  it('takes a check of any instrument', async () => {
    await open()
    await screen.page.getByText('Enter a check').click()
    const checks = screen.page.getByRole('heading', { name: 'Checks' }).locator('..')
    await checks.getByLabel(/^What was checked/).selectOption('flowmeter')
    for (const [label, text] of [
      ['Which one', 'flowmeter bench A'],
      ['Held against', 'bubble meter, EX 12'],
      ['Unit', 'mL/min'],
      ['Value of the reference', '400'],
      ['Value found', '412'],
    ] as const)
      await checks.getByLabel(new RegExp(`^${label}`)).fill(text)
    await checks.getByText('Type the greatest difference that passes, above 0.').waitFor()
    await checks.getByLabel(/^Greatest difference/).fill('20')
    await checks.getByLabel(/^Your name/).fill('M. Example')
    expect(await wcagFaults(screen.page)).toEqual([])
    await screen.page.screenshot({ path: join(PICTURES, 'check-form-1366.png'), fullPage: true })
    await checks.getByRole('button', { name: 'Enter check' }).click()
    await checks.getByText('Entered.').waitFor()
  })
})

describe('batches beside each other', () => {
  it('say that they were measured against different references, and which, in the list and in each row', async () => {
    await screen.show('standing', '/batches')
    const table = screen.page.getByRole('table')
    await table.getByText('Not all were measured against the same reference (indigo; uv, ε 3000)').waitFor()
    expect(await table.getByText('against uv, ε 3000').count()).toBe(1)
    expect(await table.getByText('against indigo').count()).toBe(2)
  })
})
