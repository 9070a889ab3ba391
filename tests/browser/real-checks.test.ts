import { describe, expect, it } from 'vitest'
import type { PastCheck } from '../../server/wire.ts'
import { get, person } from '../support/api.ts'
import { everySize } from './every-size.ts'
import { openInstruments } from './instruments-page.ts'
import { seen } from './screen.ts'

/** Records of checks of the other instruments, entered on screen on the program as it is built. */
describe('checks of instruments', { timeout: 60_000 }, () => {
  const site = openInstruments()
  const { section, press } = site
  const checks = () => section('Checks')
  const enterCheck = async (fields: Readonly<Record<string, string>>): Promise<void> => {
    for (const [label, text] of Object.entries(fields))
      await checks()
        .getByLabel(new RegExp(`^${label.replace(/[()]/g, '\\$&')}`))
        .fill(text)
    await press('Enter check')
    // the form is empty again when it was taken
    await expect
      .poll(() =>
        checks()
          .getByLabel(/^Which one/)
          .inputValue(),
      )
      .toBe('')
  }

  it('takes an ice-point check of the thermometer, one against another, and a flowmeter found off and adjusted', async () => {
    await site.page.getByText('Enter a check').click()
    await checks()
      .getByLabel(/^Your name/)
      .fill('M. Example')
    await checks()
      .getByLabel(/^What was checked/)
      .selectOption('thermometer')
    await press('Fill in the ice point')
    await enterCheck({
      'Which one': 'meter-a',
      'Value found': '0.2',
      'Uncertainty of the value found (1 s)': '0.05',
      'Greatest difference that passes': '0,5',
      'Next check due on': '2030-01-31',
    })
    await checks()
      .getByLabel(/^What was checked/)
      .selectOption('thermometer')
    await enterCheck({
      'Which one': 'meter-a',
      'Held against': 'reference thermometer, EX 9',
      'Value of the reference': '20.0',
      'Uncertainty of the reference': '0.05',
      'Value found': '20.35',
      'Greatest difference that passes': '0.5',
    })
    const opened = await person(site.real.address).opens()
    await checks()
      .getByLabel(/^What was checked/)
      .selectOption('flowmeter')
    expect(await checks().getByLabel(/^Unit/).inputValue()).toBe('mL/min')
    await checks()
      .getByLabel(/^Bench it serves/)
      .selectOption('A')
    await enterCheck({
      'Which one': 'rotameter 3',
      'Held against': 'bubble meter, EX 12',
      'Value of the reference': '400',
      'Value found': '430',
      'Value as left': '402',
      'Greatest difference that passes': '20',
    })
    await checks()
      .getByText(/Found off its limit/)
      .waitFor()
    await checks()
      .getByText(/402 mL\/min: passed/)
      .waitFor()
    const words = await seen(checks())
    expect(words).toMatch(/0\.2 for 0 ± 0\.05 °C, limit 0\.5: passed/)
    expect(words).toMatch(/\+0\.15 °C/)
    expect(words).toMatch(/430 for 400 mL\/min, limit 20: failed/)
    expect(words).toMatch(/402 mL\/min: passed/)
    expect(words).toMatch(/flowmeter, rotameter 3/)
    expect(await checks().getByRole('link').first().getAttribute('href')).toBe(`/batches/${opened}`)
    await everySize(site.page, 'checks')
  })

  it('takes a record of each of the other instruments', async () => {
    for (const kind of [
      'gas-analyser',
      'barometer',
      'volume-measure',
      'room-monitor',
      'dissolved-ozone-meter',
    ] as const) {
      await checks()
        .getByLabel(/^What was checked/)
        .selectOption(kind)
      await enterCheck({
        'Which one': kind,
        'Held against': 'standard',
        'Value of the reference': '100',
        'Value found': '101',
        'Greatest difference that passes': '2',
      })
    }
    const all = await get<PastCheck[]>(site.real.address, '/api/instrument-checks')
    expect(all.map((c) => [c.kind, c.unit, c.outcome])).toEqual(
      expect.arrayContaining([
        ['gas-analyser', 'µg/mL', 'within'],
        ['barometer', 'kPa', 'within'],
        ['volume-measure', 'mL', 'within'],
        ['room-monitor', 'ppm', 'within'],
        ['dissolved-ozone-meter', 'mg/L', 'within'],
      ]),
    )
  })

  it('wrote no error into the browser’s console', () => {
    expect(site.faults).toEqual([])
  })
})
