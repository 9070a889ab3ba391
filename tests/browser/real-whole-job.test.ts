import type { Browser, Locator } from 'playwright-core'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchRecord } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, watched } from './browser.ts'
import { COUNT_POINTERS, type Hands, WAYS } from './hands.ts'
import { overTheDialog, overTheSide, SIZES } from './pictures.ts'

/**
 * The practitioner's whole job on the program as it is built, at every width, by keys alone and by touch alone: open by
 * sheet, tick the safety steps, ozone on, ozone off, flow off, draw up, discard. One after the other at one bench.
 */
describe('the whole job', { timeout: 60_000 }, () => {
  let real: RealBench
  let browser: Browser

  beforeAll(async () => {
    real = await startRealBench()
    const change = (what: string, who: string, more: object) =>
      post(real.address, `/api/method-sheets/${SHEET}/${what}`, { id: uuidv7(), who, ...more })
    await change('versions', 'Ruth', { after_version: 0, settings: SHEET_SETTINGS })
    await change('approval', 'Ines', { version: 1 })
    // a lot that was used before is one press away
    const ines = person(real.address)
    const earlier = await ines.opens({
      kind: 'batch-opened',
      data: { fluid: 'saline', volume_ml: 250, lot: 'L 4471', measuring_place: 'flow-cell', purge: 'none' },
    })
    await ines.does(earlier, { kind: 'discarded' })
    browser = await launch()
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  for (const viewport of SIZES)
    for (const { way, handsOf, device, pointers } of WAYS)
      it(`is done by ${way}, ${viewport.width} wide`, async () => {
        const context = await browser.newContext({ viewport, reducedMotion: 'reduce', ...device })
        await context.addInitScript(
          `sessionStorage.setItem('spargewatch.who', 'M. Example'); ${COUNT_POINTERS}`,
        )
        const { page, faults } = await watched(context)
        page.setDefaultTimeout(10_000)
        await page.goto(real.address)
        const hands: Hands = handsOf(page)
        const dialog = page.getByRole('dialog')
        const button = (name: string | RegExp, within: Locator = page.locator('main')): Locator =>
          within.getByRole('button', { name, exact: typeof name === 'string' }).first()
        const phase = (words: string) => page.locator('.phase').getByText(words).waitFor()
        const enter = async (what: string, then: string): Promise<void> => {
          await hands.press(button(new RegExp(`^${what}`)))
          await dialog.waitFor()
          expect(await overTheDialog(page), what).toBeLessThanOrEqual(0)
          await hands.press(button('Now', dialog))
          await phase(then)
        }

        await hands.press(page.getByRole('link', { name: /^Bench A/ }))
        await hands.press(button(/^Open batch/))
        await hands.press(button(/^Cold saline 250 mL/, dialog))
        await hands.press(button('L 4471', dialog))
        await hands.press(button('Now', dialog))
        await phase('Being set up')
        await hands.press(button('Tick: Extraction is running.'))
        await page
          .locator('.steps')
          .getByText(/ticked .*M\. Example/)
          .waitFor()
        await enter('Ozone on', 'Bubbling')
        await enter('Ozone off', 'Purge')
        await enter('Flow off', 'Standing')
        await hands.press(button(/^Draw up/))
        await hands.type(dialog.getByLabel('Volume drawn'), '20')
        await hands.press(button('Now', dialog))
        await page.locator('.drawn').waitFor()
        await hands.press(button(/^Discard/))
        await hands.press(button('Now', dialog))
        const link = page.getByRole('link', { name: /^Record of batch A-/ })
        await link.waitFor()
        expect(await overTheSide(page)).toBeLessThanOrEqual(0)

        const { entries } = await get<BatchRecord>(real.address, `/api${await link.getAttribute('href')}`)
        const byHand = entries.filter((e) => e.who.name === 'M. Example').map((e) => e.kind)
        expect(byHand).toEqual([
          'batch-opened',
          'step-ticked',
          'ozone-on',
          'ozone-off',
          'flow-off',
          'drawn-up',
          'discarded',
        ])
        expect(Object.keys(await page.evaluate<object>('window.pointed'))).toEqual(pointers)
        expect(faults).toEqual([])
        await context.close()
      })
})
