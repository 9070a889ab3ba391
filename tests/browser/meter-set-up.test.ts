import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { type NetworkMeter, startMeter, startTicking } from '../support/meter.ts'
import { floatRegisters } from '../support/modbus-bytes.ts'
import { createLine, requestsOf, startDeviceServer } from '../support/modbus-device.ts'
import { endAll, runPart } from '../support/program.ts'
import { type Cable, canPair, plugIn, unplugAll } from '../support/pty-pair.ts'
import { untilTap } from '../support/tap-listener.ts'
import { until } from '../support/until.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { seen } from './screen.ts'

/** Daemon, server, browser: as built. The steps build on each other. */
describe.skipIf(!canPair)('a meter set up on screen', { timeout: 90_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-set-up-'))
  const device = join(folder, 'adapter')
  const ends: (() => unknown)[] = []
  let home: string
  let address: string
  let meter: NetworkMeter
  let cable: Cable
  let browser: Browser
  let open: Watched
  let page: Page

  beforeAll(async () => {
    meter = await startMeter()
    cable = await plugIn(device)
    ends.push(startTicking(meter, 200).stop)
    // a thermometer and a meter in one box, as many send: name, number; name, number
    ends.push(
      startTicking(
        cable,
        200,
        (n) => `O3=${((n % 90) / 10 + 4).toFixed(1).replace('.', ',')};T=68,${n % 10}\r\n`,
      ).stop,
    )
    home = makeHome(
      `# kept by Ines\n${wiring({ port: tcpPort(meter.port, 60), benches: ['A', 'B'], intervalS: 0.2 })}`,
      join(folder, 'home'),
    )
    await runPart(['daemon'], { home }).started()
    address = (await runPart(['serve'], { home }).started()).address
    await untilTap(home)
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 1366, height: 768 },
      reducedMotion: 'reduce',
    })
    open = await watched(context)
    page = open.page
    page.setDefaultTimeout(15_000)
  })

  afterAll(async () => {
    for (const end of ends) end()
    await browser?.close()
    await endAll()
    await unplugAll()
    await meter?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const press = (name: string | RegExp) =>
    page.getByRole('button', { name, exact: typeof name === 'string' }).click()
  const field = (label: string): Locator => page.getByLabel(label, { exact: true })
  /** At every size by day and by night. */
  const look = async (name: string): Promise<void> => {
    for (const size of SIZES) {
      await page.setViewportSize(size)
      for (const colorScheme of ['dark', 'light'] as const) {
        await page.emulateMedia({ colorScheme })
        await page.screenshot({
          path: join(PICTURES, `set-up-${name}-${size.width}-${colorScheme}.png`),
          fullPage: true,
        })
        expect(await overTheSide(page), `${name} ${size.width}`).toBeLessThanOrEqual(0)
        expect(await wcagFaults(page), `${name} ${size.width} ${colorScheme}`).toEqual([])
      }
    }
    await page.setViewportSize({ width: 1366, height: 768 })
  }

  it('is reached from the instruments and asks first where the meter is', async () => {
    await page.goto(`${address}/instruments`)
    await page.getByRole('link', { name: 'Set up a meter' }).click()
    await page.getByRole('heading', { name: 'Set up a meter' }).waitFor()
    await page.getByText(/Port meter-a/).waitFor()
    expect(await page.getByRole('button', { name: 'Listen' }).isDisabled()).toBe(true)
    expect(await page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true)
    await look('empty')
  })

  it('says what to do about a device that is not there', async () => {
    await page.getByLabel('Another serial device, by its path').check()
    await field('Path of the device').fill('/dev/serial/by-id/nothing-here')
    await press('Listen')
    await page
      .locator('.warning')
      .getByText(/is not there: plug the adapter in/)
      .first()
      .waitFor()
    await press('Stop listening')
  })

  it('shows bytes, lines and what is wrong with the settings, live', async () => {
    await field('Path of the device').fill(device)
    await page.getByLabel(/^Check sum/).selectOption('xor')
    await press('Listen')
    await page
      .locator('.discards')
      .getByText(/without the check sum that was chosen/)
      .waitFor()
    await page.getByText(/Nothing that arrives can be used: without the check sum/).waitFor()
    await look('wrong-settings')
    await page.getByLabel(/^Check sum/).selectOption('none')
    await press(/^Listen/)
    await page.locator('.frames').getByText(/^O3=/).first().waitFor()
    expect(await seen(page.locator('.bytes'))).toMatch(/O3=\d+,\d;T=68,\d\[CR\]\[LF\]/)
    expect(await seen(page.locator('.bytes'))).toMatch(/4f 33 3d/)
    await cable.send(Buffer.from([0x80, 0x81, 0x0d, 0x0a]))
    await page
      .locator('.discards')
      .getByText(/Most often the speed or the parity/)
      .waitFor()
    expect(
      readingsOf(home).every((r) => r.series.instrument === 'meter-a'),
      'nothing of it is stored',
    ).toBe(true)
  })

  it('maps the names found to quantities and units and shows what would be stored', async () => {
    await press('Guess from the lines')
    await field('O3 is').selectOption('dissolved-ozone')
    await page
      .getByText(/quantity 1, unit needs one of/)
      .first()
      .waitFor()
    await page.getByLabel(/^Unit of dissolved ozone/).selectOption('ug/mL')
    await page.getByLabel('Full scale of dissolved ozone').fill('50')
    await field('T is').selectOption('fluid-temperature')
    await page.getByLabel(/^Unit of fluid temperature/).selectOption('C')
    await page
      .locator('.value-now')
      .getByText(/cannot be real: check unit/)
      .waitFor()
    await page.getByLabel(/^Unit of fluid temperature/).selectOption('F')
    // 68 to 69 °F are 20 to 20.6 °C, by the definition of the unit
    await page
      .locator('.value-now')
      .getByText(/^20(\.\d+)? °C$/)
      .waitFor()
    await page
      .locator('.value-now')
      .getByText(/mg\/L$/)
      .waitFor()
    await look('mapped')
    await press('Stop listening')
    await page.getByText(/^Not live/).waitFor()
    expect(await seen(page.locator('.value-now').first()), 'no old value as one of now').toMatch(/–$/)
  })

  it('names every fault before it can be saved', async () => {
    await page.getByLabel(/^Name of the instrument/).fill('meter-a')
    await page
      .locator('.faults')
      .getByText(/no other instrument has/)
      .waitFor()
    await page.getByLabel(/^Name of the instrument/).fill('combined')
    await page.getByLabel(/^Name of the port/).fill('bench b')
    await page
      .locator('.faults')
      .getByText(/bench: needs one of the benches: A, B, nothing so far/)
      .waitFor()
    expect(await page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true)
    await page.getByLabel(/^Bench/).selectOption('B')
    await page.locator('.faults').waitFor({ state: 'detached' })
  })

  it('is saved, read within seconds, and shows its first stored reading', async () => {
    const before = readFileSync(join(home, 'spargewatch.yaml'), 'utf8').split('\n')
    await press('Save')
    await page.getByText('Saved.').waitFor()
    await page.getByText(/Readings are stored: dissolved ozone/).waitFor({ timeout: 30_000 })
    await look('saved')
    const after = readFileSync(join(home, 'spargewatch.yaml'), 'utf8')
    expect(after.split('\n')).toEqual(expect.arrayContaining(before))
    const file = parse(after) as { ports: object; instruments: object[] }
    expect(file.ports).toMatchObject({ 'bench b': { kind: 'serial', device, baud: 9600 } })
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
    const own = readingsOf(home).filter((r) => r.series.instrument === 'combined')
    expect(own.find((r) => r.series.channel === 'fluid-temperature')?.value).toBeGreaterThan(19.9)
    expect(meter.everConnected(), 'the other meter was never disturbed').toBe(1)
  })

  it('can be changed later; a file that somebody edited meanwhile is not overwritten', async () => {
    await page.goto(`${address}/instruments`)
    await page
      .locator('section', { has: page.getByRole('heading', { name: 'combined' }) })
      .getByRole('link', { name: /^Listen to it/ })
      .click()
    await press('Listen')
    await page
      .locator('.frames')
      .getByText(/dissolved ozone: [\d.]+ mg\/L/)
      .first()
      .waitFor()
    await page.getByLabel('Full scale of dissolved ozone').fill('40')
    const path = join(home, 'spargewatch.yaml')
    const { appendFileSync } = await import('node:fs')
    appendFileSync(path, '# a note by hand\n')
    await page.locator('.faults').waitFor({ state: 'detached' })
    await press('Save')
    await page.getByText(/was changed by somebody else/).waitFor()
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
    await page.goto(`${address}/set-up`)
    await page.getByLabel('A network serial server').check()
    await field('Address').fill('127.0.0.1')
    await field('Port').fill(String(server.port))
    await page.getByLabel(/^The meter sends/).selectOption('modbus-rtu')
    await field('Address of the unit').fill('7')
    await field('From register').fill('16')
    await field('Ask every').fill('0.2')
    await press('Listen')
    await page.getByText(/CDAB 23\.4/).waitFor()
    await field('Add a quantity').selectOption('dissolved-ozone')
    await page.getByLabel(/^Unit of dissolved ozone/).selectOption('ug/mL')
    await page.getByText(/Doubtful: .*looks like swapped words/).waitFor()
    await look('modbus')
    await page.getByLabel(/^Order of the bytes/).selectOption('CDAB')
    await page.locator('.value-now').getByText('23.4 mg/L').waitFor()
    await page.getByText(/looks like swapped words/).waitFor({ state: 'detached' })
    expect(line.notRequests).toEqual([])
    await page.goto(`${address}/`)
    const asked = await until('no more questions', async () => {
      const before = line.asked.length
      await page.waitForTimeout(700)
      return line.asked.length === before && before
    })
    expect(asked, 'leaving the screen closed the port').toBeGreaterThan(0)
  })

  it('wrote no error into the browser’s console', () => {
    expect(open.faults.filter((fault) => !/Failed to load resource/.test(fault))).toEqual([])
  })
})
