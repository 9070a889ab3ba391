import type { Locator } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import type { Instrument } from '../../server/wire.ts'
import { get } from '../support/api.ts'
import { everySize } from './every-size.ts'
import { openInstruments } from './instruments-page.ts'
import { DPD, INDIGO, POINTS, THIRD } from './real-calibration-typed.ts'
import { seen } from './screen.ts'

/**
 * The instruments of a site, calibrated and checked on screen with real clicks and keys, on the program as it is built:
 * daemon and server in processes of their own and a meter whose probe is moved. The steps build on each other.
 */
describe('instruments at work', { timeout: 60_000 }, () => {
  const site = openInstruments()
  const { section, press } = site
  const sheet = () => section('meter-a')
  const fill = async (within: Locator, fields: Readonly<Record<string, string>>): Promise<void> => {
    for (const [label, text] of Object.entries(fields))
      await within.getByLabel(label, { exact: true }).fill(text)
  }
  const meter = async (): Promise<Instrument> => {
    const [found] = await get<Instrument[]>(site.real.address, '/api/instruments')
    if (!found) throw new Error('no instrument')
    return found
  }

  it('measures the response time with two taps while the probe is moved', async () => {
    await site.page.getByText('Measure the response time').click()
    await sheet()
      .getByText(/The meter sends/)
      .waitFor()
    await fill(sheet(), { 'From fluid A': 'water', 'Into fluid B': 'saline with ozone' })
    await everySize(site.page, 'step-test')
    // the tap comes first: the second before the probe is moved must not count as slowness
    await press('Mark: moving it now')
    await site.page.waitForTimeout(1000)
    site.real.moveTo(20, 1.5)
    await sheet()
      .getByText(/s so far/)
      .waitFor()
    await site.page.waitForTimeout(12_000)
    await press('Mark: it stands still')
    const found = sheet().locator('.step-found')
    await found.waitFor()
    const [, tau] = /Response time \(63 %\) ([\d.]+) s/.exec(await seen(found)) ?? []
    // 1.5 s with arrivals as much as 50 ms late on a busy machine
    expect(Math.abs(Number(tau) - 1.5)).toBeLessThan(0.2)
    await everySize(site.page, 'step-test-found')
    await site.page
      .getByLabel(/^Your name/)
      .first()
      .fill('M. Example')
    await press('Enter step test')
    await sheet()
      .getByText(/Probe response time 1\.[3-7]\d* ± [\d.]+ s, step test/)
      .waitFor()
    expect((await meter()).response).toMatchObject({ by: 'step-test' })
    expect(await seen(sheet())).toContain('from water into saline with ozone')
    await site.page.getByText('Measure the response time').click()
  })

  it('takes a reference value from an indigo sample into a point, with what it came from', async () => {
    await site.page.getByText('Enter a calibration').click()
    await press('Point 2 from a sample')
    await sheet()
      .getByLabel(/^Method of the sample/)
      .selectOption('indigo')
    await press('Work out the value')
    await sheet().getByText('Type the absorbance of the blank, a number above 0.').waitFor()
    await fill(sheet(), INDIGO)
    // the Enter key in a field enters no calibration
    await sheet().getByLabel('Half-life', { exact: true }).press('Enter')
    await press('Work out the value')
    // (40 − 25.5)/0.84 = 17.262; 2 min at a half-life of 30 min lose 4.516 %: 18.078
    await sheet()
      .getByText(/18\.08 ± 0\.41 mg\/L/)
      .waitFor()
    expect(await seen(sheet())).toMatch(
      /1\.0 % shared by all samples.*4\.5 % lost since the draw is added back/s,
    )
    await everySize(site.page, 'reference-sample')
    await press('Take it into point 2')
    expect(await sheet().getByLabel('Point 2: reference', { exact: true }).inputValue()).toBe('18.078')
    await sheet().getByText('Its sample (indigo) goes on record.').waitFor()
    expect(await sheet().getByLabel('Uncertainty all reference values share').inputValue()).toBe('1')
    expect(
      await sheet()
        .getByLabel(/^Reference method/)
        .inputValue(),
    ).toBe('indigo, dye lot 8')
  })

  it('refuses a bound as a reference and a membrane probe without its temperature', async () => {
    await press('Point 1 from a sample')
    await sheet()
      .getByLabel(/^Method of the sample/)
      .selectOption('dpd')
    await sheet()
      .getByLabel(/^Does the fluid hold chloride/)
      .selectOption('yes')
    await fill(sheet(), DPD)
    await press('Work out the value')
    await sheet()
      .getByText(/at most 16\.25/)
      .waitFor()
    await sheet().getByText('A bound cannot be a reference point').waitFor()
    expect(await site.page.getByRole('button', { name: 'Take it into point 1' }).count()).toBe(0)
    await press('Close the sample')
    await fill(sheet(), POINTS)
    await press('Add a point')
    await fill(sheet(), THIRD)
    await press('Work out slope and zero')
    await sheet()
      .getByText(
        /Worked out from 3 points.*Furthest point [\d.]+ ± [\d.]+ % of the span off the line: within the limit/,
      )
      .waitFor()
    await sheet()
      .getByLabel(/^Channel/)
      .last()
      .selectOption('dissolved-ozone')
    await sheet()
      .getByLabel(/^The probe senses/)
      .selectOption('activity')
    await sheet().getByText('Type the temperature of the fluid').waitFor()
    await fill(sheet(), { 'Temperature of the fluid': '20' })
    await sheet()
      .getByLabel(/^Temperature compensation/)
      .selectOption('membrane-and-solubility')
    await sheet()
      .getByLabel(/^Calibrated in/)
      .selectOption('saline')
  })

  it('dates a calibration back, but not before the first entry nor ahead', async () => {
    const at = sheet().getByLabel('Done at, if earlier than now')
    const enter = () => press('Enter calibration')
    await at.fill('2031-01-01T10:00:00')
    await sheet().getByText('The time it was done lies in the future').waitFor()
    await at.fill('2020-01-01T10:00:00')
    await enter()
    await sheet()
      .getByText(/lies before the first entry of this site/)
      .waitFor()
    const { step_tests } = await meter()
    // as the site's clock, of Lisbon, told the end of the step test
    const back = new Date(Date.parse(step_tests[0]?.at ?? '') + 1000)
    const wall = new Intl.DateTimeFormat('sv-SE', {
      timeZone: 'Europe/Lisbon',
      dateStyle: 'short',
      timeStyle: 'medium',
    })
    await at.fill(wall.format(back).replace(' ', 'T'))
    await everySize(site.page, 'calibration-dated-back')
    await enter()
    await sheet().getByText('Entered.').waitFor()
    const { history } = await meter()
    expect(history).toHaveLength(1)
    expect(history[0]?.at).toBe(back.toISOString())
    expect(history[0]?.linearity?.word).toBe('within')
    expect(Date.parse(history[0]?.entered_at ?? '') - back.getTime()).toBeGreaterThan(5000)
    expect(history[0]?.references).toEqual([
      'indigo, dye lot 8, (100 · 0.4 ± 0.002 − 0.25 ± 0.002 · 102 ± 0 mL) / (f 0.42 ± 0.0042 · 1 ± 0 cm · 2 ± 0.01 mL) = 18.08 ± 0.41 mg/L, 4.5 % lost since the draw added back',
    ])
    await sheet()
      .getByText(/entered later/)
      .first()
      .waitFor()
    await site.page.getByText('Enter a calibration').click()
  })

  it('wrote no error into the browser’s console but that of the refused date', () => {
    expect(site.faults.filter((fault) => !/status of 400/.test(fault))).toEqual([])
  })
})
