import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core'
import { v7 as uuidv7 } from 'uuid'
import { expect } from 'vitest'
import type { BatchSummary } from '../../server/wire.ts'
import { get, post } from '../support/api.ts'
import { clinicOfBatches } from '../support/clinic-of-batches.ts'
import { endAll, runPart } from '../support/program.ts'
import { launch, watched, wcagFaults } from './browser.ts'
import { COUNT_POINTERS, type Hands, WAYS } from './hands.ts'
import { overTheSide, PICTURES, picture, SIZES } from './pictures.ts'

/** Every width with every way of working; numbered, for names that only one of them uses. */
export const JOBS = SIZES.flatMap((size) => WAYS.map((way) => ({ ...size, ...way }))).map((job, n) => ({
  ...job,
  n: n + 1,
}))
export type Job = (typeof JOBS)[number]

export interface TrialClinic {
  readonly address: string
  readonly folder: string
  /** Those of the past: finished before any job began. */
  readonly batches: readonly BatchSummary[]
  readonly begin: (job: Job) => Promise<TrialWork>
  readonly end: () => Promise<void>
}

/** The program as it is built, on a clinic's finished batches, and one browser for all jobs. */
export const startTrialClinic = async (
  counts: Parameters<typeof clinicOfBatches>[0],
): Promise<TrialClinic> => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-jobs-'))
  const home = clinicOfBatches(counts, folder)
  const { address } = await runPart(['serve'], { home }).started()
  const batches = await get<BatchSummary[]>(address, '/api/batches?limit=100')
  const browser: Browser = await launch()
  return {
    ...{ address, folder, batches },
    begin: async (job) => {
      const { width, height, device } = job
      const context = await browser.newContext({
        viewport: { width, height },
        reducedMotion: 'reduce',
        ...device,
      })
      await context.addInitScript(
        `if (sessionStorage.getItem('spargewatch.who') === null) sessionStorage.setItem('spargewatch.who', 'Ines')
        ${COUNT_POINTERS}`,
      )
      const { page, faults } = await watched(context)
      page.setDefaultTimeout(10_000)
      await page.goto(address)
      return trialWork({ job, address, batches, context, page, faults })
    },
    end: async () => {
      await browser.close()
      await endAll()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

interface At {
  readonly job: Job
  readonly address: string
  readonly batches: readonly BatchSummary[]
  readonly context: BrowserContext
  readonly page: Page
  readonly faults: readonly string[]
}

type Fields = Readonly<Record<string, string>>

/** What a person does in any trial, by the hands of the job. */
const trialWork = ({ job, address, batches, context, page, faults }: At) => {
  const hands: Hands = job.handsOf(page)
  const named = (label: string) => new RegExp(`^${label}( \\(needed\\))?$`)
  const press = (name: string | RegExp, within: Page | Locator = page) =>
    hands.press(within.getByRole('button', { name }).first())
  const unfold = (title: string | RegExp) => hands.press(page.locator('summary', { hasText: title }).first())
  /** No fault of WCAG: looked for once a width, as the page is the same for both ways. */
  const lookAt = async (name: string): Promise<void> => {
    expect(await overTheSide(page), name).toBeLessThanOrEqual(0)
    if (job.way !== 'keys alone') return
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme })
      const path = join(PICTURES, `trial-${name}-${job.width}-${colorScheme}.png`)
      await picture(page, path, { fullPage: true })
    }
    expect(await wcagFaults(page), name).toEqual([])
  }
  const toTrials = async (title?: string): Promise<void> => {
    await hands.press(page.locator('.more-button'))
    await hands.press(page.locator('.more-screens').getByRole('link', { name: 'Trials' }))
    await page.getByRole('heading', { name: 'Trials' }).waitFor()
    if (title !== undefined) await hands.press(page.getByRole('link', { name: title, exact: true }))
  }
  return {
    ...{ page, hands, faults, named, press, unfold, lookAt, toTrials },
    fill: async (fields: Fields, within: Page | Locator = page): Promise<void> => {
      for (const [label, value] of Object.entries(fields))
        await hands.type(within.getByRole('textbox', { name: named(label) }), value)
    },
    choose: async (fields: Fields): Promise<void> => {
      for (const [label, value] of Object.entries(fields))
        await hands.choose(page.getByRole('combobox', { name: named(label) }), value)
    },
    /** One batch over the screen, the others the same way over the network. */
    takeIn: async (fluids: readonly string[]): Promise<void> => {
      const [first, ...others] = batches.filter((b) => fluids.includes(b.head.fluid)).map((b) => b.head)
      const trial = page.url().split('/').at(-1) ?? ''
      await unfold('Take in a batch of the past')
      const form = page.locator('form').filter({ hasText: 'Take it in' })
      await hands.choose(form.getByRole('combobox'), first?.id ?? '')
      await hands.type(form.getByRole('textbox', { name: 'Reason' }), 'same kit and sheet')
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
    },
    /** No error in the console, and nothing pointed that was not to be used. */
    finish: async (): Promise<void> => {
      expect(faults).toEqual([])
      expect(Object.keys(await page.evaluate<object>('window.pointed'))).toEqual(job.pointers)
      await context.close()
    },
  }
}
export type TrialWork = ReturnType<typeof trialWork>
