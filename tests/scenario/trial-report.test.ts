import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { MethodSheetView, Problem, TrialCurves, TrialHead, TrialView } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { clinicOfBatches, SALINE_PLAN } from '../support/clinic-of-batches.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'
import { endAll, type Program, runPart, runToEnd } from '../support/program.ts'
import { TRIAL } from '../support/trial.ts'
import { until } from '../support/until.ts'

const COUNT = 6
const tool = (command: string, ...args: string[]): string => execFileSync(command, args, { encoding: 'utf8' })

/** From the plan to the approved prep time on the program as it is built; the steps build on each other. */
describe('a prep-time trial', { timeout: 120_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-trial-'))
  let home: string
  let server: Program
  let address: string
  let closed: TrialView

  const serve = async (): Promise<void> => {
    server = runPart(['serve'], { home })
    address = (await server.started()).address
  }
  const enter = async (what: string, more: object): Promise<TrialView & Problem> =>
    (
      await post<TrialView & Problem>(address, `/api/trials/${TRIAL}${what}`, {
        id: uuidv7(),
        who: 'Ines',
        ...more,
      })
    ).body
  /** Once it is worked out: a busy machine says first how far it is. */
  const trial = (): Promise<TrialView> =>
    until('the trial to be worked out', async () => {
      const response = await fetch(`${address}/api/trials/${TRIAL}`)
      return response.status === 200 ? ((await response.json()) as TrialView) : undefined
    })

  beforeAll(async () => {
    home = clinicOfBatches({ saline: COUNT }, folder)
    await serve()
  })
  afterAll(async () => {
    await endAll()
    rmSync(folder, { recursive: true, force: true })
  })

  it('takes in batches of the past, leaves one out, and is closed with what the rest came to', async () => {
    await enter('', { plan: SALINE_PLAN })
    const batches = await get<{ head: { id: string } }[]>(address, '/api/batches')
    expect(batches).toHaveLength(COUNT)
    for (const { head } of batches) await enter('/batches', { batch: head.id, why: 'same kit and sheet' })
    await enter('/exclusions', { batch: batches[0]?.head.id, why: 'tube slipped off' })
    const open = await trial()
    expect(open.result).toMatchObject({ answer: 'shown', pooled: COUNT - 1 })
    expect(open.with_excluded).toMatchObject({ pooled: COUNT })
    expect(open.instruments).toMatchObject([{ instrument: 'meter-a', benches: ['A'] }])
    await enter('/closing', { after_seq: open.newest_seq })
    closed = await trial()
    expect(closed.closed).toMatchObject({ by: 'Ines', answer: 'shown', sentence: open.result.sentence })
  })

  it('reports the same on the command line, while the server is at work', async () => {
    const files = ['report.pdf', 'letter.pdf', 'batches.csv', 'curves.csv'].map((name) => join(folder, name))
    const [pdf = '', letter = '', csv = '', curves = ''] = files
    const told = await runToEnd(['trial', 'report', TRIAL, '--pdf', pdf, '--csv', csv, '--curves', curves], {
      home,
    })
    expect(told).toMatchObject({ code: 0, stderr: '' })
    expect(told.stdout).toContain(`${SALINE_PLAN.title}: Shown.\n${closed.result.sentence}\n`)
    expect(told.stdout).toContain('With the batches that were left out: ')
    expect(told.stdout).toContain('taken in afterwards')
    expect(
      (await runToEnd(['trial', 'report', SALINE_PLAN.title, '--pdf', letter, '--paper', 'letter'], { home }))
        .code,
    ).toBe(0)
    const text = tool('pdftotext', '-layout', pdf, '-').replaceAll(/\s+/g, ' ')
    for (const words of [
      closed.result.sentence,
      'every time?',
      'left out by Ines: tube slipped off',
      'Instruments and their calibration meter-a (bench A): calibrated',
      'Residuals: reading less fit',
      'minutes since flow-off',
      'Run order',
      'Limits',
      'Not a dose. The prescriber decides.',
      `npx spargewatch trial report ${TRIAL}`,
      'Carried out by (name and signature)',
      'Not a medical device',
    ])
      expect(text).toContain(words)
    // ISO 216: A4 is 210 × 297 mm; ANSI/ASME Y14.1: Letter is 8.5 × 11 inches; in points of 1/72 inch
    expect(tool('pdfinfo', pdf)).toMatch(/Page size:\s+595\.28 x 841\.89 pts \(A4\)/)
    expect(tool('pdfinfo', letter)).toMatch(/Page size:\s+612 x 792 pts \(letter\)/)
    // two lines of heading: no picture among its plots
    expect(tool('pdfimages', '-list', pdf).trim().split('\n')).toHaveLength(2)
  })

  it('has in its CSV the numbers that the screen has', async () => {
    const rows = rowsOf(readFileSync(join(folder, 'batches.csv'), 'utf8'))
    expect(rows.map((r) => r['batch'])).toEqual(closed.members.map((m) => m.number))
    for (const [i, member] of closed.members.entries()) {
      const row = rows[i] ?? {}
      expect(row['pooled']).toBe(member.pooled ? 'yes' : 'no')
      expect(row['excluded_why']).toBe(member.excluded?.why ?? '')
      for (const key of ['minutes', 'potency_off_mg_l', 'potency_after_mg_l', 'plateau_mg_l'] as const) {
        expect(Number(row[key])).toBeCloseTo(member[key]?.value ?? Number.NaN, 9)
        expect(Number(row[`${key}_low`])).toBeCloseTo(member[key]?.low ?? Number.NaN, 9)
      }
    }
    const curves = await get<TrialCurves>(address, `/api/trials/${TRIAL}/curves`)
    const points = rowsOf(readFileSync(join(folder, 'curves.csv'), 'utf8'))
    const own = points.filter((p) => p['batch'] === curves[1]?.number && p['phase'] === 'rise')
    const curve = own.filter((p) => p['what'] === 'curve')
    expect(curve.map((p) => Number(p['mg_l']))).toEqual(curves[1]?.rise?.mean)
    for (const { low, high, mg_l } of curve) {
      expect(Number(low)).toBeLessThan(Number(mg_l))
      expect(Number(high)).toBeGreaterThan(Number(mg_l))
    }
    expect(own.filter((p) => p['what'] === 'reading')).toHaveLength(curves[1]?.rise?.seen.length ?? 0)
  })

  it('approves a prep time for its own setting and for no other', async () => {
    const version = (who: string, what: string, more: object) =>
      post<MethodSheetView & Problem>(address, `/api/method-sheets/${SHEET}/${what}`, {
        id: uuidv7(),
        who,
        ...more,
      })
    const settings = {
      ...SHEET_SETTINGS,
      ...{ prep_min: 8, target_mg_l: 12, purge: 'through-the-fluid', prep_time_shown_by: TRIAL },
    }
    const other = await version('Ines', 'versions', {
      after_version: 0,
      settings: { ...settings, volume_ml: 500 },
    })
    expect([other.status, other.body.detail]).toEqual([422, expect.stringContaining('a volume of 250 mL')])
    await version('Ines', 'versions', { after_version: 0, settings })
    const { body } = await version('Ruth', 'approval', { version: 1 })
    expect(body.in_force?.prep_time_trial).toMatchObject({ id: TRIAL, benches: ['A'], closed_by: 'Ines' })
    const without = { ...settings, prep_min: 7, prep_time_shown_by: undefined }
    const next = await version('Ines', 'versions', { after_version: 1, settings: without })
    expect(next.body.versions[0]?.prep_time_trial).toBeNull()
  })

  it('is the same after the server was killed, and opens from what was kept', async () => {
    server.kill('SIGKILL')
    await server.ended()
    await serve()
    expect((await trial()).result).toEqual(closed.result)
    expect((await trial()).members).toEqual(closed.members)
  })

  it('says the next batch of a run order, and moves on when it is opened', async () => {
    const second = uuidv7()
    const plan = { ...SALINE_PLAN, title: 'Two benches', benches: ['A', 'B'], batches: 6 }
    await post(address, `/api/trials/${second}`, { id: uuidv7(), who: 'Ines', plan })
    const head = async () => (await get<TrialHead[]>(address, '/api/trials')).find((t) => t.id === second)
    const first = (await head())?.next
    expect(first).toMatchObject({ run: 1, day: 1, what: `bench ${first?.bench}` })
    const { fluid, volume_ml, gas, flow_ml_per_min, purge, measuring_place, target_mg_l, prep_min } = plan
    const data = { fluid, volume_ml, gas, flow_ml_per_min, purge, measuring_place, target_mg_l, prep_min }
    await person(address, 'Ines', first?.bench ?? '').opens({
      kind: 'batch-opened',
      data: { ...data, trial: second },
    })
    expect((await head())?.next).toMatchObject({ run: 2 })
  })
})

/** Rows under the head, comments left out; no value in them holds a comma in quotes. */
const rowsOf = (csv: string): Record<string, string>[] => {
  const [head = '', ...lines] = csv
    .trim()
    .split('\r\n')
    .filter((line) => !line.startsWith('#'))
  const names = head.split(',')
  return lines.map((line) => Object.fromEntries(line.split(',').map((value, i) => [names[i] ?? '', value])))
}
