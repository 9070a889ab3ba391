import { v7 as uuidv7 } from 'uuid'
import { afterEach, describe, expect, it } from 'vitest'
import { settingsOfSheet } from '../../server/method-sheet/sheet-of-batch.ts'
import type { Action, MethodSheetView, Plan, Problem } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'
import { endAll, runPart } from '../support/program.ts'

afterEach(endAll)

const again = { most_times: 1, most_ozone_min: 30 }
const SETTINGS = { ...SHEET_SETTINGS, bubble_again: again }

const serve = async (home = makeHome(wiring({ port: tcpPort(9) }))) => {
  const part = runPart(['serve'], { home })
  const { address } = await part.started()
  const change = (what: string, who: string, more: object) =>
    post<MethodSheetView & Problem>(address, `/api/method-sheets/${SHEET}/${what}`, {
      id: uuidv7(),
      who,
      ...more,
    })
  return { home, part, address, change, ines: person(address, 'Ines') }
}

const opening = (version: number, more: object = {}): Action => ({
  kind: 'batch-opened',
  data: { ...settingsOfSheet(SETTINGS), lot: 'L1', method_sheet: { sheet: SHEET, version }, ...more },
})

describe('a method sheet, from its writing to the batches opened by it', () => {
  it('is approved by another person, opens batches to the letter, and outlives a restart', async () => {
    const first = await serve()
    expect((await first.change('versions', 'Ruth', { after_version: 0, settings: SETTINGS })).status).toBe(
      200,
    )
    const own = await first.change('approval', 'ruth', { version: 1 })
    expect([own.status, own.body.detail]).toEqual([
      422,
      'Ruth wrote version 1; another person has to approve it',
    ])
    const early = await first.ines.enter(uuidv7(), opening(1), 0)
    expect([early.status, early.body.detail]).toEqual([422, expect.stringContaining('is not approved')])
    expect((await first.change('approval', 'Ines', { version: 1 })).body.in_force?.version).toBe(1)
    const other = await first.ines.enter(uuidv7(), opening(1, { volume_ml: 200 }), 0)
    expect(other.body.detail).toContain('volume_ml 200 where the sheet says 250')
    const batch = await first.ines.opens(opening(1))

    await first.change('versions', 'Ines', { after_version: 1, settings: { ...SETTINGS, prep_min: 9 } })
    await first.change('approval', 'Ruth', { version: 2 })
    first.part.kill('SIGKILL')
    const second = await serve(first.home)
    const { head } = (await second.ines.record(batch)).summary
    expect(head).toMatchObject({ prep_min: 7, method_sheet: { version: 1, name: 'Cold saline 250 mL' } })
    const [sheet] = await get<MethodSheetView[]>(second.address, '/api/method-sheets')
    expect(sheet?.versions.map((v) => [v.version, v.state, v.settings.prep_min])).toEqual([
      [2, 'in-force', 9],
      [1, 'replaced', 7],
    ])
    expect(await get(second.address, '/api/lots?fluid=saline')).toMatchObject([
      { lot: 'L1', fluid: 'saline' },
    ])
    expect(await get(second.address, '/api/lots?fluid=distilled')).toEqual([])
  })

  it('lets the same fill be bubbled again as often as it says, and not a batch without a sheet', async () => {
    const { ines, change } = await serve()
    await change('versions', 'Ruth', { after_version: 0, settings: SETTINGS })
    await change('approval', 'Ines', { version: 1 })
    const bubbled = async (batch: string) => {
      for (const kind of ['ozone-on', 'ozone-off', 'flow-off'] as const) await ines.does(batch, { kind })
      return batch
    }
    const batch = await bubbled(await ines.opens(opening(1)))
    expect((await ines.record(batch)).summary.head.bubbled_again).toMatchObject({ times: 0, why_not: null })
    await bubbled(batch)
    const third = await ines.enter(batch, { kind: 'ozone-on' }, 1000)
    expect([third.status, third.body.detail]).toEqual([422, expect.stringContaining('1 of 1 times')])
    await ines.does(batch, { kind: 'discarded' })
    const free = await bubbled(await ines.opens())
    const second = await ines.enter(free, { kind: 'ozone-on' }, 1000)
    expect([second.status, second.body.detail]).toEqual([422, expect.stringContaining('is not allowed')])
    expect((await ines.record(free)).summary.head.method_sheet).toBeNull()
  })

  it('is refused with every fault at once, and so is a plan', async () => {
    const { change, address } = await serve()
    const { target_mg_l: _, ...rest } = SETTINGS
    const wrong = { ...rest, age_limit_min: 7, volume_ml: 5, flow_ml_per_min: -1, gas: { ug_per_ml: 60 } }
    const sheet = await change('versions', 'Ruth', { after_version: 0, settings: wrong })
    expect(sheet.status).toBe(400)
    for (const field of ['target_mg_l', 'volume_ml', 'flow_ml_per_min', 'gas.reference', 'age_limit_min'])
      expect(sheet.body.detail).toContain(`body.settings.${field}`)
    const plan = await post<Problem>(address, '/api/plan', { fluid: 'saline', volume_ml: 5, purge: 'none' })
    for (const field of ['volume_ml', 'temperature_c', 'gas', 'flow_ml_per_min', 'purge_min'])
      expect(plan.body.detail).toContain(`body.${field}`)
  })

  it('has a plan before it, which stores nothing', async () => {
    const { address, ines } = await serve()
    const before = (await ines.health()).ledger.entries
    const { status, body } = await post<Plan>(address, '/api/plan', {
      fluid: 'saline',
      volume_ml: 250,
      temperature_c: 7,
      gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
      flow_ml_per_min: 500,
      target_mg_l: 15,
      prep_min: 7,
      purge: 'tube-lifted-clear',
      purge_min: 0.5,
      room_m3: 40,
    })
    expect(status).toBe(200)
    expect(body.physics.bands.plateau_mg_l?.low).toBeGreaterThan(15)
    expect(body.own_batches.bands).toEqual({})
    expect((await ines.health()).ledger.entries).toBe(before)
  })
})
