import { describe, expect, it } from 'vitest'
import { fakeSheets } from '../support/fake-sheets.ts'
import { wcagFaults } from './browser.ts'
import { pictureOf, picturesOf } from './every-size.ts'
import { openScreen } from './screen.ts'

const screen = openScreen()

const press = (name: string | RegExp) =>
  screen.page
    .getByRole('button', { name, exact: typeof name === 'string' })
    .first()
    .click()

describe('the planner', () => {
  const fill = async (): Promise<void> => {
    for (const [label, value] of [
      ['Fluid', 'saline'],
      ['Gas value stated', 'normal-0c-101kpa'],
      ['Purge', 'through-the-fluid'],
    ] as const)
      await screen.page.getByLabel(new RegExp(`^${label}( \\(needed\\))?$`)).selectOption(value)
    for (const [label, text] of [
      ['Volume', '250'],
      ['Fluid temperature', '20'],
      ['Gas value', '50'],
      ['Gas flow', '250'],
      ['Value to reach', '15'],
      ['Prep time', '10'],
      ['Length of the purge', '1'],
      ['Room volume', '40'],
    ] as const)
      await screen.page.getByRole('textbox', { name: new RegExp(`^${label}`) }).fill(text)
  }

  it('answers from … to … in every line, by physics and by the clinic’s own, and recommends nothing', async () => {
    await screen.page.goto(`${screen.server.url}/plan`)
    await fill()
    await press('Work it out')
    await screen.page.locator('.plan-bands').waitFor()
    const cells = await screen.page.locator('.plan-bands td:nth-of-type(1)').allInnerTexts()
    expect(cells.length).toBeGreaterThan(10)
    for (const cell of cells) expect(cell).toMatch(/^[\d.]+ to [\d.]+ |never|0 min: not above it/)
    const own = await screen.page.locator('.plan-bands td:nth-of-type(2)').allInnerTexts()
    expect(new Set(own)).toEqual(new Set(['cannot tell']))
    const words = await screen.words()
    for (const part of [
      'no advice',
      'None of it is recommended',
      'NIOSH ceiling is 0.1 ppm',
      'no finished batches of this fluid',
      'Sander, Atmos. Chem. Phys.',
    ])
      expect(words).toContain(part)
    expect(await wcagFaults(screen.page)).toEqual([])
    await picturesOf(screen.page, 'page-plan', true)
  })

  it('says when the answer is for an earlier form', async () => {
    await screen.page.goto(`${screen.server.url}/plan`)
    await fill()
    await press('Work it out')
    await screen.page.locator('.plan-bands').waitFor()
    await screen.page.getByRole('textbox', { name: /^Volume/ }).fill('500')
    await screen.page.getByText('The form was changed').waitFor()
  })

  it('takes an approved sheet as a preset, and makes a new sheet of a plan', async () => {
    screen.server.state.sheets = fakeSheets
    await screen.page.goto(`${screen.server.url}/plan`)
    await press('Cold saline 250 mL')
    await screen.page.getByRole('textbox', { name: /^Length of the purge/ }).fill('0.5')
    await press('Work it out')
    await screen.page.locator('.plan-bands').waitFor()
    await press('Make a method sheet of this')
    const form = screen.page.locator('form').filter({ hasText: 'Write version 1' })
    await form.waitFor()
    expect(await form.getByRole('textbox', { name: /^Volume/ }).inputValue()).toBe('250')
    expect(await form.getByRole('textbox', { name: /^Planned temperature/ }).inputValue()).toBe('7')
    // not of the plan: asked for
    expect(await form.getByRole('textbox', { name: /^Name/ }).inputValue()).toBe('')
    expect(await form.getByRole('textbox', { name: /^Age limit/ }).inputValue()).toBe('')
    await pictureOf(screen.page, 'sheet-of-plan-1366', true)
  })
})
