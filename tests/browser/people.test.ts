import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchRecord } from '../../server/wire.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { seen } from './screen.ts'

const PASSWORD = 'four quiet herons fish'
const PIN = '493817'
const WIDTHS = [390, 1366] as const

/**
 * From nobody set up to a signed record, on the program as it is built, with a real browser for each person. The steps build
 * on each other.
 */
describe.each(WIDTHS)('people at a real bench, %i px wide', { timeout: 90_000 }, (width) => {
  let real: RealBench
  let browser: Browser
  const opened: Watched[] = []

  const newPage = async (): Promise<{ context: BrowserContext; page: Page }> => {
    const context = await browser.newContext({
      viewport: { width, height: width < 500 ? 844 : 768 },
      reducedMotion: 'reduce',
    })
    const open = await watched(context)
    opened.push(open)
    open.page.setDefaultTimeout(10_000)
    return { context, page: open.page }
  }
  let admin: Page
  let operator: Page
  let display: Page
  let link = ''

  beforeAll(async () => {
    real = await startRealBench()
    browser = await launch()
  })
  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  const press = (page: Page, name: string | RegExp): Promise<void> =>
    page
      .getByRole('button', { name, exact: typeof name === 'string' })
      .first()
      .click()
  const more = async (page: Page): Promise<void> => {
    const button = page.getByRole('button', { name: /^More/ })
    if ((await button.getAttribute('aria-expanded')) === 'false') await button.click()
  }
  const enter = async (page: Page, when: string): Promise<void> => {
    await page.getByRole('dialog').getByRole('button', { name: when, exact: true }).click()
    await page.locator('.undo-bar').getByText('entered for').waitFor()
  }
  const pin = async (page: Page, name: string): Promise<void> => {
    const dialog = page.getByRole('dialog')
    await dialog.getByRole('button', { name, exact: true }).click()
    await dialog.getByLabel('PIN', { exact: true }).fill(PIN)
  }
  /** What waits for a signature at the display, by Otto. */
  const sign = async (): Promise<void> => {
    await press(display, 'Sign')
    const dialog = display.getByRole('dialog')
    await dialog.getByLabel('Who are you?').selectOption('Otto')
    await dialog.getByLabel('PIN', { exact: true }).fill(PIN)
    await dialog.getByRole('button', { name: 'Sign', exact: true }).click()
    await display.locator('.unsigned').waitFor({ state: 'detached' })
  }
  const record = async (page: Page): Promise<BatchRecord> => {
    const href = await page.getByRole('link', { name: /^Batch A-/ }).getAttribute('href')
    return (await (await page.request.get(`${real.address}/api${href}`)).json()) as BatchRecord
  }

  it('makes the first administrator by the link that the program printed', async () => {
    ;({ page: admin } = await newPage())
    await admin.goto(real.setUpLink())
    await admin.getByLabel('Your name').fill('Ada')
    await admin.getByLabel('New password').fill(PASSWORD)
    await admin.getByLabel('The same again').fill(PASSWORD)
    await admin.getByLabel(/^PIN/).fill(PIN)
    expect(await wcagFaults(admin)).toEqual([])
    expect(admin.url()).not.toContain('#')
    await press(admin, 'Become administrator')
    await admin.getByRole('heading', { name: 'People' }).waitFor()
    await admin.getByText('password and PIN').waitFor()
  })

  it('is shut from then on for whoever is not signed in', async () => {
    const { page } = await newPage()
    await page.goto(`${real.address}/bench/A`)
    await page.getByRole('heading', { name: 'Sign in' }).waitFor()
    expect(await wcagFaults(page)).toEqual([])
    expect(await seen(page.locator('body'))).not.toContain('Bench A')
    await page.getByLabel('Name', { exact: true }).fill('Ada')
    await page.getByLabel('Password').fill('not this one at all')
    await press(page, 'Sign in')
    await page.getByText('do not belong together').waitFor()
    await page.context().close()
  })

  it('adds an operator, who sets a password by the link', async () => {
    await admin.getByLabel('Name (needed)', { exact: true }).fill('Otto')
    await admin.getByLabel('Role (needed)', { exact: true }).selectOption('operator')
    await press(admin, 'Add')
    link = await seen(admin.locator('.invited code'))
    expect(await wcagFaults(admin)).toEqual([])
    ;({ page: operator } = await newPage())
    await operator.goto(link)
    await operator.getByRole('heading', { name: 'Welcome, Otto' }).waitFor()
    await operator.getByLabel('New password').fill(PASSWORD)
    await operator.getByLabel('The same again').fill(PASSWORD)
    await operator.getByLabel(/^PIN/).fill(PIN)
    await press(operator, 'Set password and sign in')
    await operator.getByRole('link', { name: /^Bench A/ }).click()
    const { page: late } = await newPage()
    await late.goto(link)
    await late.getByText('used already').waitFor()
    await late.context().close()
  })

  it('enters what the operator does under the name of the session', async () => {
    await press(operator, /^Open batch/)
    const dialog = operator.getByRole('dialog')
    expect(await seen(dialog.locator('.who-is'))).toContain('Entered by Otto')
    await dialog.getByLabel(/^Fluid/).selectOption('saline')
    await dialog.getByRole('textbox', { name: /^Volume/ }).fill('250')
    await dialog.getByLabel(/^Measuring place/).selectOption('companion-flask')
    await dialog.getByLabel(/^Purge/).selectOption('none')
    await enter(operator, 'Now')
    await press(operator, /^Ozone on/)
    await enter(operator, 'Now')
    expect(await wcagFaults(operator)).toEqual([])
    const { entries } = await record(operator)
    expect(entries.filter((e) => e.who.how !== 'program').map((e) => [e.kind, e.who])).toEqual([
      ['batch-opened', { name: 'Otto', how: 'signed-in' }],
      ['ozone-on', { name: 'Otto', how: 'signed-in' }],
    ])
    await more(operator)
    expect(await operator.getByRole('link', { name: 'People', exact: true }).count()).toBe(0)
  })

  it('makes a browser a shared display that shows without anybody signed in', async () => {
    ;({ page: display } = await newPage())
    await display.goto(`${real.address}/people`)
    await display.getByLabel('Name', { exact: true }).fill('Ada')
    await display.getByLabel('Password').fill(PASSWORD)
    await press(display, 'Sign in')
    await display.getByLabel('Name of this display').fill('Wall')
    await press(display, 'Pair this browser')
    await display.getByText('Display Wall').waitFor()
    await display.getByText('nobody acts here').waitFor()
    await display.getByRole('link', { name: 'Benches', exact: true }).click()
    await display.getByRole('link', { name: /^Bench A/ }).click()
    await display.locator('.potency-live').waitFor()
    expect(await wcagFaults(display)).toEqual([])
  })

  it('takes ozone off there at once, shows that it is not signed, and takes the signature with a PIN', async () => {
    await press(display, /^Ozone off/)
    await enter(display, 'Now')
    await display.locator('.unsigned').getByText('Not signed yet:').waitFor()
    // in sight without scrolling, its button too
    const button = await display.locator('.unsigned').getByRole('button', { name: 'Sign' }).boundingBox()
    const height = await display.evaluate<number>('innerHeight')
    expect((button?.y ?? height) + (button?.height ?? 0)).toBeLessThanOrEqual(height)
    expect(await display.evaluate('scrollY')).toBe(0)
    expect(await wcagFaults(display)).toEqual([])
    const unsigned = (await record(display)).entries.find((e) => e.kind === 'ozone-off')
    expect(unsigned?.who).toEqual({ name: 'not signed yet (display Wall)', how: 'unsigned' })
    await sign()
    const signed = (await record(display)).entries.find((e) => e.kind === 'signed')
    expect(signed).toMatchObject({ who: { name: 'Otto', how: 'signed-in' }, data: { entry: unsigned?.id } })
  })

  it('takes everything else after a PIN, and goes on showing when the person is finished', async () => {
    await press(display, /^Note/)
    await pin(display, 'Otto')
    const dialog = display.getByRole('dialog')
    await dialog.getByText('Entered by').waitFor()
    await dialog.locator('#note-text').fill('seen by two')
    expect(await wcagFaults(display)).toEqual([])
    await enter(display, 'Now')
    await press(display, 'Finish')
    await display.getByText('nobody acts here').waitFor()
    await display.locator('.potency-live').waitFor()
    const note = (await record(display)).entries.find((e) => e.kind === 'note')
    expect(note?.who).toEqual({ name: 'Otto', how: 'signed-in' })
  })

  it('takes an acknowledgement there at once too, to be signed', async () => {
    await real.silenceMeter()
    await display.goto(`${real.address}/alarms`)
    const silent = display.locator('.alarm', { hasText: 'No reading arrives from the meter' }).first()
    await silent.waitFor({ timeout: 20_000 })
    await silent.getByRole('button', { name: 'Acknowledge', exact: true }).click()
    await silent.getByText(/acknowledged by not signed yet \(display Wall\)/).waitFor()
    await display.locator('.unsigned').getByText('Alarm acknowledged').waitFor()
    expect(await wcagFaults(display)).toEqual([])
    await sign()
  })

  it('puts a name to the finished record, and says when it changed since', async () => {
    for (const what of [/^Flow off/, /^Discard/]) {
      await press(operator, what)
      await enter(operator, 'Now')
    }
    await operator.getByRole('link', { name: /^Record of batch A-/ }).click()
    await operator.locator('.review').getByText('Not reviewed.').waitFor()
    const path = new URL(operator.url()).pathname
    await admin.goto(real.address + path)
    await admin.getByLabel('What your name means').selectOption('approved')
    await admin.getByLabel('Your password or PIN, again').fill(PASSWORD)
    await press(admin, 'Put my name to this record')
    await admin.locator('.review').getByText('Approved by Ada').waitFor()
    expect(await wcagFaults(admin)).toEqual([])
    await operator.goto(`${real.address}/bench/A`)
  })

  it('forgets everything when the person signs out', async () => {
    await operator.locator('.now').waitFor()
    await press(operator, 'Sign out')
    await operator.getByRole('heading', { name: 'Sign in' }).waitFor()
    expect(await seen(operator.locator('body'))).not.toMatch(/Bench A|Otto|µg/)
    await operator.goBack().catch(() => null)
    await operator.getByRole('heading', { name: 'Sign in' }).waitFor()
    expect(await operator.evaluate('sessionStorage.getItem("spargewatch.who") ?? ""')).toBe('')
  })

  it('broke no rule of its own policy and no script', () => {
    const faults = opened.flatMap((open) => open.faults)
    expect(faults.filter((fault) => !/Failed to load resource|WebSocket|ERR_/.test(fault))).toEqual([])
  })
})
