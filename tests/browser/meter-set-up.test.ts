import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Locator } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { readingsOf } from '../support/home.ts'
import { floatRegisters } from '../support/modbus-bytes.ts'
import { createLine, requestsOf, startDeviceServer } from '../support/modbus-device.ts'
import { canPair } from '../support/pty-pair.ts'
import { until } from '../support/until.ts'
import { everySize } from './every-size.ts'
import { seen } from './screen.ts'
import { type SetUpSite, startSetUpSite } from './set-up-site.ts'

/** Daemon, server, browser: as built. The steps build on each other. */
describe.skipIf(!canPair)('a meter set up on screen', { timeout: 90_000 }, () => {
  let site: SetUpSite
  const ends: (() => unknown)[] = []

  beforeAll(async () => {
    site = await startSetUpSite()
  })

  afterAll(async () => {
    for (const end of ends) end()
    await site?.end()
  })

  const press = (name: string | RegExp) =>
    site.page.getByRole('button', { name, exact: typeof name === 'string' }).click()
  const field = (label: string): Locator => site.page.getByLabel(label, { exact: true })

  it('is reached from the instruments and asks first where the meter is', async () => {
    await site.page.goto(`${site.address}/instruments`)
    await site.page.getByRole('link', { name: 'Set up a meter' }).click()
    await site.page.getByRole('heading', { name: 'Set up a meter' }).waitFor()
    await site.page.getByText(/Port meter-a/).waitFor()
    expect(await site.page.getByRole('button', { name: 'Listen' }).isDisabled()).toBe(true)
    expect(await site.page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true)
    await everySize(site.page, 'set-up-empty')
  })

  it('says what to do about a device that is not there', async () => {
    await site.page.getByLabel('Another serial device, by its path').check()
    await field('Path of the device').fill('/dev/serial/by-id/nothing-here')
    await press('Listen')
    await site.page
      .locator('.warning')
      .getByText(/is not there: plug the adapter in/)
      .first()
      .waitFor()
    await press('Stop listening')
  })

  it('shows bytes, lines and what is wrong with the settings, live', async () => {
    await field('Path of the device').fill(site.device)
    await site.page.getByLabel(/^Check sum/).selectOption('xor')
    await press('Listen')
    await site.page
      .locator('.discards')
      .getByText(/without the check sum that was chosen/)
      .waitFor()
    await site.page.getByText(/Nothing that arrives can be used: without the check sum/).waitFor()
    await everySize(site.page, 'set-up-wrong-settings')
    await site.page.getByLabel(/^Check sum/).selectOption('none')
    await press(/^Listen/)
    await site.page.locator('.frames').getByText(/^O3=/).first().waitFor()
    expect(await seen(site.page.locator('.bytes'))).toMatch(/O3=\d+,\d;T=68,\d\[CR\]\[LF\]/)
    expect(await seen(site.page.locator('.bytes'))).toMatch(/4f 33 3d/)
    await site.cable.send(Buffer.from([0x80, 0x81, 0x0d, 0x0a]))
    await site.page
      .locator('.discards')
      .getByText(/Most often the speed or the parity/)
      .waitFor()
    expect(
      readingsOf(site.home).every((r) => r.series.instrument === 'meter-a'),
      'nothing of it is stored',
    ).toBe(true)
  })

  it('maps the names found to quantities and units and shows what would be stored', async () => {
    await press('Guess from the lines')
    await field('O3 is').selectOption('dissolved-ozone')
    await site.page
      .getByText(/quantity 1, unit needs one of/)
      .first()
      .waitFor()
    await site.page.getByLabel(/^Unit of dissolved ozone/).selectOption('ug/mL')
    await site.page.getByLabel('Full scale of dissolved ozone').fill('50')
    await field('T is').selectOption('fluid-temperature')
    await site.page.getByLabel(/^Unit of fluid temperature/).selectOption('C')
    await site.page
      .locator('.value-now')
      .getByText(/cannot be real: check unit/)
      .waitFor()
    await site.page.getByLabel(/^Unit of fluid temperature/).selectOption('F')
    // 68 to 69 °F are 20 to 20.6 °C, by the definition of the unit
    await site.page
      .locator('.value-now')
      .getByText(/^20(\.\d+)? °C$/)
      .waitFor()
    await site.page
      .locator('.value-now')
      .getByText(/mg\/L$/)
      .waitFor()
    await everySize(site.page, 'set-up-mapped')
    await press('Stop listening')
    await site.page.getByText(/^Not live/).waitFor()
    expect(await seen(site.page.locator('.value-now').first()), 'no old value as one of now').toMatch(/–$/)
  })

  it('names every fault before it can be saved', async () => {
    await site.page.getByLabel(/^Name of the instrument/).fill('meter-a')
    await site.page
      .locator('.faults')
      .getByText(/no other instrument has/)
      .waitFor()
    await site.page.getByLabel(/^Name of the instrument/).fill('combined')
    await site.page.getByLabel(/^Name of the port/).fill('bench b')
    await site.page
      .locator('.faults')
      .getByText(/bench: needs one of the benches: A, B, nothing so far/)
      .waitFor()
    expect(await site.page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true)
    await site.page.getByLabel(/^Bench/).selectOption('B')
    await site.page.locator('.faults').waitFor({ state: 'detached' })
  })

  it('is saved, read within seconds, and shows its first stored reading', async () => {
    const before = readFileSync(join(site.home, 'spargewatch.yaml'), 'utf8').split('\n')
    await press('Save')
    await site.page.getByText('Saved.').waitFor()
    await site.page.getByText(/Readings are stored: dissolved ozone/).waitFor({ timeout: 30_000 })
    await everySize(site.page, 'set-up-saved')
    const after = readFileSync(join(site.home, 'spargewatch.yaml'), 'utf8')
    expect(after.split('\n')).toEqual(expect.arrayContaining(before))
    const file = parse(after) as { ports: object; instruments: object[] }
    expect(file.ports).toMatchObject({ 'bench b': { kind: 'serial', device: site.device, baud: 9600 } })
    expect(file.instruments[1]).toEqual({
      id: 'combined',
      bench: 'B',
      separator: ';',
      decimal: 'comma',
      field_count: 2,
      interval_s: 1,
      channels: [
        { channel: 'dissolved-ozone', key: 'O3', unit: 'ug/mL', full_scale: 50 },
        { channel: 'fluid-temperature', key: 'T', unit: 'F' },
      ],
      port: 'bench b',
    })
    const own = readingsOf(site.home).filter((r) => r.series.instrument === 'combined')
    expect(own.find((r) => r.series.channel === 'fluid-temperature')?.value).toBeGreaterThan(19.9)
    expect(site.meter.everConnected(), 'the other meter was never disturbed').toBe(1)
  })

  it('can be changed later; a file that somebody edited meanwhile is not overwritten', async () => {
    await site.page.goto(`${site.address}/instruments`)
    await site.page
      .locator('section', { has: site.page.getByRole('heading', { name: 'combined' }) })
      .getByRole('link', { name: /^Listen to it/ })
      .click()
    await press('Listen')
    await site.page
      .locator('.frames')
      .getByText(/dissolved ozone: [\d.]+ mg\/L/)
      .first()
      .waitFor()
    await site.page.getByLabel('Full scale of dissolved ozone').fill('40')
    const path = join(site.home, 'spargewatch.yaml')
    const { appendFileSync } = await import('node:fs')
    appendFileSync(path, '# a note by hand\n')
    await site.page.locator('.faults').waitFor({ state: 'detached' })
    await press('Save')
    await site.page.getByText(/was changed by somebody else/).waitFor()
    await press('Read the file again, keep what is typed here')
    await until('the second try', async () => {
      await press('Save')
      return readFileSync(path, 'utf8').includes('full_scale: 40')
    })
    expect(readFileSync(path, 'utf8')).toContain('# a note by hand')
  })

  it('of Modbus shows its registers in every order and doubts swapped words', async () => {
    const [high, low] = floatRegisters(23.4)
    const line = createLine({ 7: { manner: 'well', registers: (_, at) => (at === 16 ? low : high) } })
    const server = await startDeviceServer((send) => requestsOf((request) => void line.hear(request, send)))
    ends.push(() => server.close())
    await site.page.goto(`${site.address}/set-up`)
    await site.page.getByLabel('A network serial server').check()
    await field('Address').fill('127.0.0.1')
    await field('Port').fill(String(server.port))
    await site.page.getByLabel(/^The meter sends/).selectOption('modbus-rtu')
    await field('Address of the unit').fill('7')
    await field('From register').fill('16')
    await field('Ask every').fill('0.2')
    await press('Listen')
    await site.page.getByText(/CDAB 23\.4/).waitFor()
    await field('Add a quantity').selectOption('dissolved-ozone')
    await site.page.getByLabel(/^Unit of dissolved ozone/).selectOption('ug/mL')
    await site.page.getByText(/Doubtful: .*looks like swapped words/).waitFor()
    await everySize(site.page, 'set-up-modbus')
    await site.page.getByLabel(/^Order of the bytes/).selectOption('CDAB')
    await site.page.locator('.value-now').getByText('23.4 mg/L').waitFor()
    await site.page.getByText(/looks like swapped words/).waitFor({ state: 'detached' })
    expect(line.notRequests).toEqual([])
    await site.page.goto(`${site.address}/`)
    const asked = await until('no more questions', async () => {
      const before = line.asked.length
      await site.page.waitForTimeout(700)
      return line.asked.length === before && before
    })
    expect(asked, 'leaving the screen closed the port').toBeGreaterThan(0)
  })

  it('wrote no error into the browser’s console', () => {
    expect(site.faults.filter((fault) => !/Failed to load resource/.test(fault))).toEqual([])
  })
})
