import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchSummary } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { clinicOfBatches } from '../support/clinic-of-batches.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'
import { endAll, runPart } from '../support/program.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { seen } from './screen.ts'

/** As the clinic bubbles its saline: what the trial is to prove is 8 min, the sheet still says 7. */
const SETTINGS = { ...SHEET_SETTINGS, target_mg_l: 12, purge: 'through-the-fluid' as const }

/** Both jobs of trials from start to end, on the program as it is built. The steps build on each other. */
describe.each(SIZES)('trials at $width px', { timeout: 90_000 }, ({ width, height }) => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-jobs-'))
  let address: string
  let browser: Browser
  let open: Watched
  let page: Page
  let batches: BatchSummary[]

  beforeAll(async () => {
    const home = clinicOfBatches({ saline: 6, distilled: 5, filtered: 5 }, folder)
    address = (await runPart(['serve'], { home }).started()).address
    const change = (what: string, who: string, more: object) =>
      post(address, `/api/method-sheets/${SHEET}/${what}`, { id: uuidv7(), who, ...more })
    await change('versions', 'Ruth', { after_version: 0, settings: SETTINGS })
    await change('approval', 'Ines', { version: 1 })
    batches = await get<BatchSummary[]>(address, '/api/batches?limit=100')
    browser = await launch()
    const context = await browser.newContext({ viewport: { width, height }, reducedMotion: 'reduce' })
    await context.addInitScript(
      `if (sessionStorage.getItem('spargewatch.who') === null) sessionStorage.setItem('spargewatch.who', 'Ines')`,
    )
    open = await watched(context)
    page = open.page
    page.setDefaultTimeout(10_000)
  })

  afterAll(async () => {
    await browser?.close()
    await endAll()
    rmSync(folder, { recursive: true, force: true })
  })

  const picture = async (name: string): Promise<void> => {
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme })
      await page.screenshot({
        path: join(PICTURES, `trial-${name}-${width}-${colorScheme}.png`),
        fullPage: true,
      })
    }
    expect(await overTheSide(page), name).toBeLessThanOrEqual(0)
    expect(await wcagFaults(page), name).toEqual([])
  }
  const fill = async (fields: Readonly<Record<string, string>>): Promise<void> => {
    for (const [label, value] of Object.entries(fields))
      await page.getByRole('textbox', { name: named(label) }).fill(value)
  }
  const choose = async (fields: Readonly<Record<string, string>>): Promise<void> => {
    for (const [label, value] of Object.entries(fields))
      await page.getByRole('combobox', { name: named(label) }).selectOption(value)
  }
  const named = (label: string) => new RegExp(`^${label}( \\(needed\\))?$`)
  const press = (name: string | RegExp) => page.getByRole('button', { name }).first().click()
  const unfold = (title: string | RegExp) => page.locator('summary', { hasText: title }).first().click()
  const idInPath = () => page.url().split('/').at(-1) ?? ''
  /** One batch over the screen, the others the same way over the network. */
  const takeIn = async (fluids: readonly string[]): Promise<void> => {
    const [first, ...others] = batches.filter((b) => fluids.includes(b.head.fluid)).map((b) => b.head)
    const trial = idInPath()
    await unfold('Take in a batch of the past')
    const form = page.locator('form').filter({ hasText: 'Take it in' })
    await form.getByRole('combobox').selectOption(first?.id ?? '')
    await form.getByRole('textbox', { name: 'Reason' }).fill('same kit and sheet')
    await press('Take it in')
    await page.getByRole('rowheader', { name: first?.number ?? '' }).waitFor()
    for (const { id } of others)
      await post(address, `/api/trials/${trial}/batches`, {
        id: uuidv7(),
        who: 'Ines',
        batch: id,
        why: 'same',
      })
    await page.goto(`${address}/trials/${trial}`)
    await page.getByText('Fitted curves').waitFor()
    await page.locator('.plot-residual').first().waitFor()
  }

  it('plans a prep time from its sheet, with as many batches as are needed', async () => {
    await page.goto(`${address}/trials`)
    await page.getByText('There is none yet.').waitFor()
    await unfold(/^How long does this kit need/)
    await page.getByText('Still needed:', { exact: false }).waitFor()
    await picture('form-prep')
    await press('Cold saline 250 mL')
    await fill({ 'Name of the trial': 'Saline, 8 min', 'Prep time to be proven': '8' })
    await fill({ 'Temperature while bubbling, from': '4', 'Temperature while bubbling, up to': '12' })
    await page.getByRole('checkbox', { name: 'Bench A' }).check()
    await unfold('How many batches are needed?')
    await press('Take these')
    await fill({ 'One batch keeps the bench for': '45' })
    await press('Work out how many')
    const take = page.getByRole('button', { name: /^Take \d+ batches: 80 % chance at least/ })
    await take.waitFor()
    await picture('form-power')
    await fill({ Batches: '5' })
    await press('Fix this plan')
    await page.getByRole('link', { name: 'Saline, 8 min' }).click()
    await page.getByRole('heading', { name: 'Cannot tell' }).waitFor()
    expect(await seen(page.locator('.trial-sentence'))).toContain('0 of the 5 batches planned are there')
    await picture('no-batches')
  })

  it('opens the next batch of the run order from the trial, and its bench is shown', async () => {
    const trial = page.url()
    expect(await seen(page.locator('.trial-next'))).toContain('bench A batch 1 of the run order, day 1')
    await unfold('Open this batch')
    await page.getByText('With the settings of the plan').waitFor()
    await page.getByRole('textbox', { name: 'Lot' }).fill('L 7')
    await press('Open batch now')
    await page.getByText('Being set up').first().waitFor()
    expect(new URL(page.url()).pathname).toBe('/bench/A')
    const [live] = await get<
      { bench: string; batch: { id: string; prep_min: number; lot: string } | null }[]
    >(address, '/api/benches')
    expect(live?.batch).toMatchObject({ prep_min: 8, lot: 'L 7' })
    await page.goto(trial)
    await page.getByText('not finished yet').waitFor()
    expect(await seen(page.locator('.trial-next'))).toContain('1 of 5 made')
    await picture('running')
    await person(address, 'Ines').does(live?.batch?.id ?? '', { kind: 'discarded' })
  })

  it('offers the same batch again at its bench, in three taps', async () => {
    const trial = page.url()
    await page.goto(`${address}/bench/A`)
    await press(/^Open batch/)
    const dialog = page.getByRole('dialog')
    await dialog.getByRole('button', { name: /^For the trial Saline, 8 min/ }).click()
    await dialog.getByText('Batch 1 of its run order, day 1: bench A').waitFor()
    await dialog.getByRole('button', { name: 'L 7', exact: true }).click()
    await page.screenshot({ path: join(PICTURES, `trial-at-bench-${width}.png`) })
    expect(await wcagFaults(page)).toEqual([])
    await dialog.getByRole('button', { name: 'Now', exact: true }).click()
    await page.getByText('Being set up').first().waitFor()
    const [live] = await get<{ batch: { id: string; lot: string } | null }[]>(address, '/api/benches')
    expect(live?.batch?.lot).toBe('L 7')
    await person(address, 'Ines').does(live?.batch?.id ?? '', { kind: 'discarded' })
    await page.goto(trial)
    await page.getByText('Change the plan').first().waitFor()
  })

  it('changes the plan for a reason, which is asked for', async () => {
    await unfold('Change the plan')
    const form = page.locator('form').filter({ hasText: 'Reason of the change' })
    await form.getByRole('textbox', { name: named('Batches') }).fill('6')
    await form.getByText('Give the reason: batches belong to the trial already.').waitFor()
    await form.getByRole('textbox', { name: /^Reason of the change/ }).fill('one more for a new operator')
    await form.getByRole('button', { name: 'Change the plan' }).click()
    await page.getByText('batches: 5 becomes 6. Why: one more for a new operator').waitFor()
    const fewer = page.locator('form').filter({ hasText: 'Reason of the change' })
    if ((await fewer.count()) === 0) await unfold('Change the plan')
    await fewer.getByRole('textbox', { name: named('Batches') }).fill('5')
    await fewer.getByRole('textbox', { name: /^Reason of the change/ }).fill('not available')
    await fewer.getByRole('button', { name: 'Change the plan' }).click()
    await page.getByText('batches: 6 becomes 5. Why: not available').waitFor()
  })

  it('shows the answer, leaves one out and closes', async () => {
    await takeIn(['saline'])
    await page.getByRole('heading', { name: 'Shown', exact: true }).waitFor()
    await unfold('Leave a batch out')
    const form = page.locator('form').filter({ hasText: 'Leave it out' })
    await form.getByRole('combobox').selectOption({ index: 3 })
    await form.getByRole('textbox', { name: 'Reason' }).fill('tube slipped off')
    await press('Leave it out')
    await page.getByText('With the batches that were left out:').waitFor()
    await picture('shown')
    await unfold('Close the trial')
    await press('Close with this answer')
    await page.getByText(/^Prep time, planned .* Closed .* by Ines with: Shown\.$/).waitFor()
    await page.getByText('A method sheet with this prep time').waitFor()
    await picture('closed')
  })

  it('brings the shown prep time onto the sheet, which another person approves seeing the trial', async () => {
    await press('Write version 2 of Cold saline 250 mL with 8 min')
    await page.getByText('rests on this trial; it waits for approval by another person').waitFor()
    await page.getByRole('link', { name: 'Cold saline 250 mL' }).click()
    const card = page.locator('.sheet').first()
    await card.locator('.sheet-waiting').getByText('shown by the trial “Saline, 8 min”').waitFor()
    expect(await seen(card)).toContain('Prep time of 7.0 min: not shown by a trial.')
    await picture('sheet-waiting')
    await card.getByLabel('Your name').first().fill('Ruth')
    await card.getByRole('button', { name: 'Approve version 2' }).click()
    await card.getByText(/Version 2 in force/).waitFor()
    expect(await seen(card.locator('.sheet-shown'))).toMatch(
      /8\.0 min: shown by the trial “Saline, 8 min” for this volume and setting at bench A, 95 % confidence for 90 % of batches; closed .* by Ines/,
    )
  })

  it('says that a version for another volume is not shown', async () => {
    await unfold('Write version 3')
    const form = page.locator('form').filter({ hasText: 'Write version 3' })
    await form.getByText('Its prep time was shown by a trial').waitFor()
    await form.getByRole('textbox', { name: /^Volume/ }).fill('500')
    await form.getByText('the version will say that none shows it').waitFor()
    await form.getByRole('button', { name: 'Write version 3' }).click()
    await page.locator('.sheet-waiting').getByText('not shown by a trial').waitFor()
  })

  it('compares two fluids, from the plan to a closed answer', async () => {
    await page.goto(`${address}/trials`)
    await unfold(/^Which fluid holds more/)
    await choose({ 'Fluid of group 1': 'distilled', 'Fluid of group 2': 'filtered' })
    await fill({ 'Name of the trial': 'Which water', Volume: '200', 'Gas value': '70', 'Gas flow': '400' })
    await choose({ 'Gas value stated': 'normal-0c-101kpa', Purge: 'tube-lifted-clear' })
    await choose({ 'Measuring place': 'companion-flask' })
    await fill({
      'Ozone on for': '8',
      'Margin that does not matter in use': '10',
      'Batches of each group': '5',
    })
    await fill({ 'Temperature while bubbling, from': '17', 'Temperature while bubbling, up to': '23' })
    await page.getByRole('checkbox', { name: 'Bench B' }).check()
    await picture('form-comparison')
    await press('Fix this plan')
    await page.getByRole('link', { name: 'Which water' }).click()
    await page.getByText('0 of 10 made').waitFor()
    await takeIn(['distilled', 'filtered'])
    const words = await seen(page.locator('.trial-answer'))
    expect(words).toMatch(/lasts \d\.\d\d times \(\d\.\d\d to \d\.\d\d\) what/)
    await page.getByRole('combobox', { name: 'One batch in front' }).selectOption({ index: 2 })
    expect(await page.locator('.plot-back').count()).toBeGreaterThan(4)
    await picture('comparison')
    await unfold('Close the trial')
    await press('Close with this answer')
    await page.getByText(/^Comparison of fluids, planned .* Closed /).waitFor()
  })

  it('prints as its report, with lines to sign, on A4 and Letter', async () => {
    for (const [format, size] of [
      ['A4', /\(A4\)/],
      ['Letter', /612 x 792/],
    ] as const) {
      const file = join(folder, `${format}.pdf`)
      writeFileSync(file, await page.pdf({ format, preferCSSPageSize: false }))
      expect(execFileSync('pdfinfo', [file], { encoding: 'utf8' })).toMatch(size)
      const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' })
      for (const words of [
        'Which water',
        'Residuals',
        'Limits',
        'Carried out by (name and signature)',
        'Seed',
      ])
        expect(text).toContain(words)
      for (const words of ['Take in a batch', 'Close the trial', 'Change the plan', 'Report (PDF'])
        expect(text).not.toContain(words)
    }
  })

  it('wrote no error into the browser’s console', () => {
    expect(open.faults).toEqual([])
  })
})
