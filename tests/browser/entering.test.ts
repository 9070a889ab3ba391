import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { fakeEntry } from '../support/fake-entries.ts'
import { openScreen, seen } from './screen.ts'
import { STATES } from './screen-states.ts'

const screen = openScreen()

describe('entering what happens', () => {
  it('enters ozone off half a minute late without asking for a name, and takes it back', async () => {
    await screen.show('bubbling')
    await screen.page.getByRole('button', { name: 'Ozone off' }).first().click()
    expect(await seen(screen.page.getByRole('dialog'))).toContain(
      'Oxygen through the fluid carries ozone out',
    )
    await screen.page.getByRole('button', { name: '30 s ago' }).click()
    await screen.page.getByRole('button', { name: /Take it back/ }).click()
    await screen.page.getByText('The record keeps both').waitFor()
    const [off, undone] = screen.server.state.posted
    expect(off?.body.entry).toEqual({ kind: 'ozone-off' })
    expect(off?.body.who).toBe('name not given')
    expect(Date.now() - Date.parse(off?.body.happened_at ?? '')).toBeGreaterThan(29_000)
    expect(Date.now() - Date.parse(off?.body.happened_at ?? '')).toBeLessThan(40_000)
    expect(undone?.body.entry).toEqual({ kind: 'undone', data: { entry: off?.body.id } })
    expect(undone?.body.expected_seq).toBe((off?.body.expected_seq ?? 0) + 1)
  })

  it('keeps ozone on closed until a name is typed, and shows the sterility caution for a probe in the flask', async () => {
    await screen.show('no-data')
    const benches = STATES['bubbling'] ?? (() => [])
    screen.server.state.benches = (now) =>
      benches(now).map((b) => ({ ...b, phase: { kind: 'set-up', since: null }, ozone_off_at_planned: null }))
    screen.server.say()
    await screen.page.getByRole('button', { name: 'Ozone on' }).first().click()
    expect(await seen(screen.page.getByRole('dialog'))).toContain(
      'A probe that is not sterile makes the fluid not sterile',
    )
    expect(await screen.page.getByRole('button', { name: 'Now', exact: true }).isDisabled()).toBe(true)
    await screen.page.getByRole('dialog').getByLabel('Your name').fill('M. Example')
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    await screen.page.getByText('entered for').waitFor()
    expect(screen.server.state.posted[0]?.body.happened_at).toBeUndefined()
    expect(screen.server.state.posted[0]?.body.who).toBe('M. Example')
  })

  it('says what was refused and what to do, and claims nothing', async () => {
    await screen.show('bubbling')
    screen.server.state.refuse = { status: 422, detail: 'Ozone is already off.', fix: 'Look at the entries.' }
    await screen.page.getByRole('button', { name: 'Ozone off' }).first().click()
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    const bar = screen.page.locator('.undo-bar')
    await bar.getByText('Not entered.').waitFor()
    expect(await seen(bar)).toContain('Ozone is already off. Look at the entries.')
    expect(await bar.getByRole('button', { name: /Take it back/ }).count()).toBe(0)
  })

  it('shows what somebody else entered meanwhile when the record has moved on', async () => {
    await screen.show('bubbling')
    const entry = fakeEntry(Date.now(), { kind: 'ozone-off', who: { name: 'Other Person', how: 'typed' } })
    screen.server.state.refuse = { status: 409, detail: 'expected_seq 7, newest 8', entries: [entry] }
    await screen.page.getByRole('button', { name: 'Ozone off' }).first().click()
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    const bar = screen.page.locator('.undo-bar')
    await bar.getByText('Something else was entered meanwhile.').waitFor()
    expect(await seen(bar)).toMatch(/\d\d:\d\d:\d\d Ozone off \(Other Person\)/)
  })

  it('goes behind an alarm that the program wrote meanwhile without asking anybody', async () => {
    await screen.show('bubbling')
    const alarm = fakeEntry(Date.now(), {
      kind: 'alarm',
      seq: 93,
      who: { name: 'Spargewatch', how: 'program' },
    })
    screen.server.state.refuse = { status: 409, detail: 'expected_seq 7, newest 93', entries: [alarm] }
    await screen.page.getByRole('button', { name: 'Ozone off' }).first().click()
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    await screen.page.getByText('entered for').waitFor()
    expect(screen.server.state.posted.map((p) => p.body.expected_seq)).toEqual([93])
  })

  it('sends the same entry with the same id again after no answer came', async () => {
    await screen.show('bubbling')
    screen.server.cut(true)
    await screen.page.getByRole('button', { name: 'Ozone off' }).first().click()
    await screen.page.getByRole('button', { name: 'Now', exact: true }).click()
    await screen.page.locator('.undo-bar').getByText('The server did not answer.').waitFor()
    screen.server.cut(false)
    await screen.page.getByRole('button', { name: 'Try again' }).click()
    await screen.page.getByText('entered for').waitFor()
    expect(screen.server.state.posted).toHaveLength(1)
  })

  it('opens a batch with what was typed and leaves the rest out', async () => {
    await screen.show('no-data')
    await screen.page.getByRole('button', { name: 'Open batch' }).click()
    const dialog = screen.page.getByRole('dialog')
    expect(await dialog.getByLabel('Value you set (target)').inputValue()).toBe('')
    await dialog.getByLabel('Fluid').selectOption('distilled')
    await dialog.getByLabel(/^Volume/).fill('250')
    await dialog.getByLabel(/Measuring place/).selectOption('aliquot')
    await dialog.getByLabel(/^Purge/).selectOption('none')
    await dialog.getByLabel('Value you set (target)').fill('15,5')
    await dialog.getByLabel('Your name').fill('M. Example')
    await dialog.getByRole('button', { name: 'Now', exact: true }).click()
    await screen.page.getByText('entered for').waitFor()
    const [posted] = screen.server.state.posted
    expect(posted?.body.entry).toEqual({
      kind: 'batch-opened',
      data: {
        fluid: 'distilled',
        volume_ml: 250,
        measuring_place: 'aliquot',
        purge: 'none',
        target_mg_l: 15.5,
      },
    })
    expect(posted?.body.expected_seq).toBe(0)
    expect(posted?.path).toMatch(/^\/api\/batches\/[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f-]{21}\/entries$/)
  })

  it('works by keyboard alone: open, leave with Escape, focus back where it was', async () => {
    await screen.show('bubbling')
    const button = screen.page.getByRole('button', { name: 'Ozone off' }).first()
    await button.focus()
    await screen.page.keyboard.press('Enter')
    await screen.page.getByRole('dialog').waitFor()
    await screen.page.keyboard.press('Escape')
    await screen.page.getByRole('dialog').waitFor({ state: 'detached' })
    expect(await screen.page.evaluate('document.activeElement.textContent')).toMatch(/^Ozone off/)
  })
})

describe('drawing up', () => {
  const openDraw = async (): Promise<ReturnType<Page['getByRole']>> => {
    await screen.page.getByRole('button', { name: 'Draw up' }).first().click()
    return screen.page.getByRole('dialog')
  }

  it('answers amount and volume as ranges beside the words that it is no dose, and forgets what was typed', async () => {
    await screen.show('standing')
    let dialog = await openDraw()
    await dialog.getByLabel('Volume drawn').fill('20')
    // 20 mL of 17.6 to 18.8 µg/mL hold 352 to 376 µg.
    expect(await seen(dialog)).toContain('holds 352 to 376 µg of dissolved ozone')
    await dialog.getByLabel('Volume that holds an amount').fill('100')
    await dialog.getByLabel('Mark of the syringe').selectOption('0.2')
    // 100 µg ÷ 18.2 µg/mL = 5.49 mL, on 0.2 mL marks 5.4 mL, which hold 95 to 101.5 µg.
    expect(await seen(dialog)).toMatch(/5\.4\smL, to the mark .*; 5\.4\smL hold 95 to 102 µg/)
    expect(await seen(dialog)).toContain('Arithmetic only. Not a dose. The prescriber decides.')
    expect(await seen(dialog)).toContain('Distilled water is hypotonic')
    await screen.page.keyboard.press('Escape')
    dialog = await openDraw()
    expect(await dialog.getByLabel('Volume drawn').inputValue()).toBe('')
    expect(await dialog.getByLabel('Volume that holds an amount').inputValue()).toBe('')
    expect(await dialog.getByLabel('Mark of the syringe').inputValue()).toBe('')
  })

  for (const [state, why] of [
    ['uncalibrated', 'The value is not calibrated'],
    ['stale', 'There is no live value'],
  ] as const)
    it(`refuses arithmetic in "${state}"`, async () => {
      await screen.show(state)
      const dialog = await openDraw()
      await dialog.getByLabel('Volume drawn').fill('20')
      expect(await seen(dialog)).toContain(why)
      expect(await seen(dialog)).not.toMatch(/holds \d/)
    })

  it('does not enter more than is left', async () => {
    await screen.show('standing')
    const dialog = await openDraw()
    await dialog.getByLabel('Your name').fill('M. Example')
    await dialog.getByLabel('Volume drawn').fill('231')
    expect(await seen(dialog)).toMatch(/More than the 230\smL that are left/)
    expect(await dialog.getByRole('button', { name: 'Now', exact: true }).isDisabled()).toBe(true)
  })

  it('gives what was drawn its value at draw and never a live one', async () => {
    await screen.show('standing')
    await screen.page.locator('.drawn').waitFor()
    expect(await seen(screen.page.locator('.drawn'))).toMatch(
      /20\smL, .*at draw 19\.1 µg\/mL \(18\.5 to 19\.7\), calibrated/,
    )
  })
})
