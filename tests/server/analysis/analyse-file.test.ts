import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Command } from 'commander'
import { afterAll, describe, expect, it, vi } from 'vitest'
import { analysisSchema } from '../../../server/analysis/schema.ts'
import { analyseFile, registerAnalyse } from '../../../server/cli/analyse.ts'

const folder = mkdtempSync(join(tmpdir(), 'spargewatch-'))
afterAll(() => rmSync(folder, { recursive: true }))

const fixture = (name: string): string =>
  new URL(`../../../fixtures/batches/${name}.csv`, import.meta.url).pathname
const file = (content: string | Uint8Array): string => {
  const path = join(folder, `${Math.random().toString(36).slice(2)}.csv`)
  writeFileSync(path, content)
  return path
}

const HEADER = 'time,dissolved_ozone_mg_l,temperature_c\n'
const rows = (n: number): string =>
  Array.from(
    { length: n },
    (_, i) => `2026-03-04T14:00:${String(i).padStart(2, '0')}Z,${i / 10},20.0\n`,
  ).join('')

/** Runs the command as the program does and collects what it printed. */
const run = async (...args: string[]) => {
  const out: string[] = []
  const err: string[] = []
  const stdout = vi.spyOn(process.stdout, 'write').mockImplementation((text) => out.push(String(text)) > 0)
  const stderr = vi.spyOn(process.stderr, 'write').mockImplementation((text) => err.push(String(text)) > 0)
  const before = process.exitCode
  try {
    const program = new Command('spargewatch').exitOverride()
    registerAnalyse(program)
    process.exitCode = 0
    await program.parseAsync(['analyse', ...args], { from: 'user' })
    return { code: process.exitCode, out: out.join(''), err: err.join('') }
  } finally {
    process.exitCode = before
    stdout.mockRestore()
    stderr.mockRestore()
  }
}

describe('analyse --json', () => {
  it('prints one valid document for a whole batch found from the signal alone', async () => {
    const { code, out, err } = await run(
      fixture('whole-batch'),
      '--json',
      '--probe-lag-s',
      '0',
      '--target',
      '5',
      '--room-c',
      '20',
    )
    const document = analysisSchema.parse(JSON.parse(out))
    expect(code).toBe(0)
    expect(err).toBe('')
    expect(document.phases.map((p) => [p.kind, p.status])).toEqual([
      ['rise', 'fitted'],
      ['purge', 'fitted'],
      ['decay', 'fitted'],
    ])
    expect(document.rows).toEqual({ read: 2700, empty_cells: 0, out_of_order: 0, doubled: 0 })
    expect(document.set_aside.map((s) => s.time.slice(11, 19))).toEqual(['14:05:00', '14:25:00', '14:35:00'])
    expect(document.forecast).toMatchObject({ target_mg_l: 5, basis: 'readings' })
  })

  it('takes entries from its options', async () => {
    const { phases } = await analyseFile(fixture('whole-batch'), {
      gasOn: [Date.parse('2026-03-04T14:01:00Z')],
      ozoneOff: [Date.parse('2026-03-04T14:11:00Z')],
      flowOff: [Date.parse('2026-03-04T15:12:00+01:00')],
    })
    expect(phases.map((p) => [p.kind, p.start, p.found_by])).toEqual([
      ['rise', '2026-03-04T14:01:00.000Z', 'entry'],
      ['purge', '2026-03-04T14:11:00.000Z', 'entry'],
      ['decay', '2026-03-04T14:12:00.000Z', 'entry'],
    ])
  })

  it('compares with the physics when gas, flow and volume are given', async () => {
    const { verdicts } = await analyseFile(fixture('whole-batch'), {
      fluid: 'saline',
      volumeMl: 250,
      gasUgPerNml: 50,
      flowMlPerMin: 250,
      probeLagS: 0,
    })
    // 24 mg/L at 20 °C from 50 µg/NmL is twice what saline can hold
    const plateau = verdicts.find((v) => v.about === 'plateau_mg_l' && v.against === 'expectation')
    expect(plateau).toMatchObject({ outcome: 'differs', direction: 'above' })
    expect(plateau?.causes?.[0]).toBe('fluid colder than recorded')
  })

  it('puts rows out of order and doubled rows right and counts them', async () => {
    const lines = readFileSync(fixture('whole-batch'), 'utf8').trimEnd().split('\n')
    const [note = '', header = '', ...data] = lines
    const shuffled = [note, header, ...data.slice(1350), ...data.slice(0, 1350), ...data.slice(10, 13)]
    const messy = await analyseFile(file(`${shuffled.join('\n')}\n`), {})
    const tidy = await analyseFile(fixture('whole-batch'), {})
    expect(messy.rows).toEqual({ read: 2703, empty_cells: 0, out_of_order: 1353, doubled: 3 })
    expect(messy.phases).toEqual(tidy.phases)
  })

  it('takes empty cells, comments, a byte order mark and carriage returns as they come', async () => {
    const text = `\uFEFF# a comment\r\ntime,dissolved_ozone_mg_l\r\n2026-03-04T14:00:00Z,1.5\r\n# another\r\n2026-03-04T14:00:01Z,\r\n`
    const { readings, rows: counted } = await analyseFile(file(text), {})
    expect(readings).toBe(1)
    expect(counted).toMatchObject({ read: 2, empty_cells: 1 })
  })

  it('finds its columns in any order', async () => {
    const text = 'temperature_c,time,dissolved_ozone_mg_l\n20.0,2026-03-04T14:00:00Z,3\n'
    expect((await analyseFile(file(text), {})).readings).toBe(1)
  })
})

describe('analyse on a file it cannot read', () => {
  const faults: [string, string | Uint8Array, string[]][] = [
    ['a wrong header', 'time,ozone\n2026-03-04T14:00:00Z,1\n', ['row 1', 'dissolved_ozone_mg_l']],
    [
      'a bad number',
      `${HEADER}${rows(16)}2026-03-04T14:00:16Z,12;3,20\n`,
      ['row 18', 'data row 17', 'dissolved_ozone_mg_l', '12;3'],
    ],
    [
      'a number of a programmer',
      `${HEADER}2026-03-04T14:00:00Z,0x10,20\n`,
      ['row 2', '0x10', 'is not a number'],
    ],
    ['a bad temperature', `${HEADER}2026-03-04T14:00:00Z,1,warm\n`, ['row 2', 'temperature_c', 'warm']],
    ['an unreadable time', `${HEADER}${rows(3)}yesterday,1,20\n`, ['row 5', 'column time', 'yesterday']],
    ['an impossible date', `${HEADER}2026-13-40T14:00:00Z,1,20\n`, ['row 2', 'column time']],
    ['a time without an offset', `${HEADER}2026-03-04T14:00:00,1,20\n`, ['row 2', 'column time', 'offset']],
    ['an empty file', '', ['empty', 'time,dissolved_ozone_mg_l,temperature_c']],
    ['a header alone', HEADER, ['no rows']],
    ['binary junk', Uint8Array.from({ length: 4000 }, (_, i) => (i * 197 + 13) % 256), []],
  ]
  it.each(faults)('with %s says where in one line and exits 2', async (_, content, words) => {
    const { code, out, err } = await run(file(content), '--json')
    expect(code).toBe(2)
    expect(out).toBe('')
    expect(err.endsWith('\n')).toBe(true)
    expect(err.trimEnd().split('\n').length).toBe(1)
    for (const word of words) expect(err).toContain(word)
    // one plain line, whatever bytes the file holds
    expect([...err.trimEnd()].every((c) => c >= ' ' && c !== '\u007f')).toBe(true)
  })

  it('that does not exist says so', async () => {
    const { code, err } = await run(join(folder, 'none.csv'))
    expect(code).toBe(2)
    expect(err).toContain('no such file')
  })

  it('refuses an option time without an offset', async () => {
    await expect(run(fixture('rising'), '--ozone-on', '2026-03-04T14:00:00')).rejects.toThrow(/offset/)
  })
})

describe('analyse for people', () => {
  it('prints a table with intervals and bounds', async () => {
    const { code, out } = await run(
      fixture('whole-batch'),
      '--probe-lag-s',
      '0',
      '--range-max',
      '20',
      '--target',
      '5',
    )
    expect(code).toBe(0)
    expect(out).toContain('levels off at, mg/L')
    expect(out).toContain('at least 20 (clipped)')
    expect(out).toMatch(/half-life, min +\d+\.\d+ +\(95 %: /)
    expect(out).toContain('at the earliest')
  })
})
