import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { seen } from './screen.ts'
import { JOBS, startTrialClinic, type TrialClinic, type TrialWork } from './trial-work.ts'

let clinic: TrialClinic
beforeAll(async () => {
  clinic = await startTrialClinic({ distilled: 5, filtered: 5 })
})
afterAll(() => clinic?.end())

/** The quality person's job: a comparison planned, its batches taken in, the answer read, closed, its report and a record looked at. */
describe.each(JOBS)('a comparison of fluids by $way, $width px', { timeout: 60_000 }, (job) => {
  const title = `Which water ${job.n}`
  let work: TrialWork

  beforeAll(async () => {
    work = await clinic.begin(job)
  })

  it('compares two fluids, from the plan to a closed answer', async () => {
    const { page, hands, press, unfold, fill, choose, takeIn, lookAt, toTrials } = work
    await toTrials()
    await unfold(/^Which fluid holds more/)
    await choose({ 'Fluid of group 1': 'distilled', 'Fluid of group 2': 'filtered' })
    await fill({ 'Name of the trial': title, Volume: '200', 'Gas value': '70', 'Gas flow': '400' })
    await choose({ 'Gas value stated': 'normal-0c-101kpa', Purge: 'tube-lifted-clear' })
    await choose({ 'Measuring place': 'companion-flask' })
    await fill({
      'Ozone on for': '8',
      'Margin that does not matter in use': '10',
      'Batches of each group': '5',
    })
    await fill({ 'Temperature while bubbling, from': '17', 'Temperature while bubbling, up to': '23' })
    await hands.tick(page.getByRole('checkbox', { name: 'Bench B' }))
    await lookAt('form-comparison')
    await press('Fix this plan')
    await hands.press(page.getByRole('link', { name: title }))
    await page.getByText('0 of 10 made').waitFor()
    await takeIn(['distilled', 'filtered'])
    const words = await seen(page.locator('.trial-answer'))
    expect(words).toMatch(/lasts \d\.\d\d times \(\d\.\d\d to \d\.\d\d\) what/)
    await hands.choose(page.getByRole('combobox', { name: 'One batch in front' }), 2)
    expect(await page.locator('.plot-back').count()).toBeGreaterThan(4)
    await lookAt('comparison')
    await unfold('Close the trial')
    await press('Close with this answer')
    await page.getByText(/^Comparison of fluids, planned .* Closed /).waitFor()
  })

  const printed = 'prints as its report, with lines to sign, on A4 and Letter'
  // the paper is the same whichever way the page was come by: once a width, and never a test that is left out
  if (job.way === 'keys alone')
    it(printed, async () => {
      for (const [format, size] of [
        ['A4', /\(A4\)/],
        ['Letter', /612 x 792/],
      ] as const) {
        const file = join(clinic.folder, `${format}.pdf`)
        writeFileSync(file, await work.page.pdf({ format, preferCSSPageSize: false }))
        expect(execFileSync('pdfinfo', [file], { encoding: 'utf8' })).toMatch(size)
        const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' })
        for (const words of [title, 'Residuals', 'Limits', 'Carried out by (name and signature)', 'Seed'])
          expect(text).toContain(words)
        for (const words of ['Take in a batch', 'Close the trial', 'Change the plan', 'Report (PDF'])
          expect(text).not.toContain(words)
      }
    })

  it('opens the record of a batch of it, to its review', async () => {
    const { page, hands, lookAt } = work
    const link = page.getByRole('rowheader').getByRole('link').first()
    const number = await seen(link)
    await hands.press(link)
    await page
      .getByRole('heading', { name: new RegExp(number) })
      .first()
      .waitFor()
    await page.locator('.review').getByText('Not reviewed.').waitFor()
    await lookAt('record')
  })

  it('wrote no error into the browser’s console, and nothing else was used', () => work.finish())
})
