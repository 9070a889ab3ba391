import { randomBytes } from 'node:crypto'
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import type { Analysis } from '../../server/analysis/schema.ts'
import type { BatchRecord } from '../../server/wire.ts'
import { runHere } from '../support/command-here.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { endAll, PACKAGE, runOther, runToEnd } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

afterEach(endAll)

const WHOLE_BATCH = join(PACKAGE, 'fixtures/batches/whole-batch.csv')
/** As the fixture's first line says. */
const EVENTS = [
  ...['--ozone-on', '2026-03-04T14:01:00Z'],
  ...['--ozone-off', '2026-03-04T14:11:00Z'],
  ...['--flow-off', '2026-03-04T14:12:00Z'],
]
const WHAT = ['--who', 'Ines', '--fluid', 'saline', '--volume-ml', '250', '--target', '15']

const newHome = (): string => makeHome(wiring({ port: tcpPort(9) }))
const importInto = (home: string, file: string, more: readonly string[] = []) =>
  runToEnd(['import', file, ...WHAT, ...more], { home })
const numberIn = (text: string): string => /batch (\S+) \(/.exec(text)?.[1] ?? ''

const fileWith = (name: string, content: string | Buffer): string => {
  const file = join(temporaryFolder(), name)
  writeFileSync(file, content)
  return file
}

/** A small good file with one line of it replaced; line 0 is the header. */
const withLine = (line: number, text: string): string => {
  const lines = ['time,dissolved_ozone_mg_l,temperature_c']
  for (let i = 0; i < 30; i++) lines.push(`2026-03-04T14:00:${String(i).padStart(2, '0')}Z,${i / 2},20.0`)
  return `${lines.with(line, text).join('\n')}\n`
}

describe('spargewatch import', () => {
  it('makes a batch of a log, and the same file a second time changes nothing', async () => {
    const home = newHome()
    const first = await importInto(home, WHOLE_BATCH, EVENTS)
    expect(first).toMatchObject({ code: 0, stderr: '' })
    expect(first.stdout).toMatch(
      /^Imported .* as batch imported-2026-03-04-1 .*: \d+ readings stored, 0 already there/,
    )
    const before = readingsOf(home).length
    const second = await importInto(home, WHOLE_BATCH, EVENTS)
    expect(second.stdout).toMatch(/^Already imported .* as batch imported-2026-03-04-1 .*: 0 readings stored/)
    expect(readingsOf(home)).toHaveLength(before)
    const verified = await runToEnd(['ledger', 'verify'], { home })
    expect(verified.stdout).toContain('5 entries')
  })

  it.each([
    [
      'a word for a number in row 17',
      withLine(16, '2026-03-04T14:00:15Z,lots,20.0'),
      /line 17, column dissolved_ozone_mg_l .*"lots"/,
    ],
    [
      'a number that is too large for any number',
      withLine(16, '2026-03-04T14:00:15Z,1e999,20.0'),
      /line 17, column dissolved_ozone_mg_l/,
    ],
    [
      'a decimal comma',
      withLine(9, '2026-03-04T14:00:08Z,"3,9",20.0'),
      /line 10, column dissolved_ozone_mg_l .*"3,9"/,
    ],
    ['a time without an offset', withLine(5, '2026-03-04T14:00:04,2,20.0'), /line 6, column time .*offset/],
    ['a day that does not exist', withLine(5, '2026-02-30T14:00:04Z,2,20.0'), /line 6, column time/],
    [
      'a wrong header',
      withLine(0, 'when,ozone,temp'),
      /line 1 needs the columns time and dissolved_ozone_mg_l/,
    ],
    ['a header only', 'time,dissolved_ozone_mg_l\n', /holds no row/],
    ['nothing', '', /holds no row/],
    ['random bytes', randomBytes(200_000), /cannot be read as CSV|needs the columns/],
    ['one endless line', Buffer.alloc(3_000_000, 'a'), /cannot be read as CSV|needs the columns/],
    ['an open quote', withLine(5, '2026-03-04T14:00:04Z,"2,20.0'), /./],
  ] as const)(
    'refuses a file with %s in one line that helps, and stores nothing',
    async (name, content, said) => {
      const home = newHome()
      const file = fileWith(`${name.replaceAll(' ', '-')}.csv`, content as string | Buffer)
      const { code, stderr } = await runHere(['import', file, ...WHAT], home)
      expect(code).toBe(2)
      expect(stderr.trimEnd()).not.toMatch(/[^ -~]/)
      expect(stderr).toContain(file)
      expect(stderr).toMatch(said)
      expect(stderr.length).toBeLessThan(500)
      expect(existsSync(join(home, 'readings.db'))).toBe(false)
      expect(existsSync(join(home, 'ledger.db'))).toBe(false)
    },
  )

  it.each([
    [['--volume-ml', 'plenty'], '--volume-ml'],
    [['--fluid', 'lemonade'], '--fluid'],
    [['--range-max', '0'], '--range-max needs a number over 0'],
    [['--ozone-on', '2026-03-04 14:00'], '--ozone-on needs an ISO 8601 time with its offset'],
  ])('refuses the option %j', async (option, said) => {
    const { code, stderr } = await runHere(['import', WHOLE_BATCH, ...WHAT, ...option], newHome())
    expect(code).toBe(2)
    expect(stderr.trimEnd().split('\n')).toHaveLength(1)
    expect(stderr).toContain(said)
  })

  it('names a file that is not there, or a folder', async () => {
    for (const file of [join(temporaryFolder(), 'no.csv'), temporaryFolder()]) {
      const { code, stderr } = await runHere(['import', file, ...WHAT], newHome())
      expect(code).toBe(2)
      expect(stderr.trimEnd().split('\n')).toHaveLength(1)
      expect(stderr).toContain(file)
    }
  })

  it('marks a value that cannot be real instead of taking it for good', async () => {
    const home = newHome()
    const file = fileWith('odd.csv', withLine(10, '2026-03-04T14:00:09Z,99999,-300'))
    expect((await importInto(home, file)).code).toBe(0)
    const odd = readingsOf(home).filter((r) => r.value === 99999 || r.value === -300)
    expect(odd.map((r) => r.quality)).toEqual(['out-of-range', 'out-of-range'])
  })
})

describe('spargewatch export', () => {
  it('writes readings, record, analysis and all, and the readings can be imported and analysed again', async () => {
    const home = newHome()
    const batch = numberIn((await importInto(home, WHOLE_BATCH, EVENTS)).stdout)
    const exported = async (what: string, from = home, number = batch) => {
      const done = await runToEnd(['export', number, '--what', what], { home: from })
      expect(done).toMatchObject({ code: 0, stderr: '' })
      return done.stdout
    }
    const record = await exported('record')
    expect(record.split('\r\n')[0]).toBe('seq,happened_at,entered_at,kind,who,how,why,taken_back,data,hash')
    expect(record).toContain(',ozone-on,Ines,typed,')
    const all = JSON.parse(await exported('all')) as BatchRecord
    expect(all.summary.head.number).toBe(batch)
    const analysis = JSON.parse(await exported('analysis')) as Analysis
    const rise = analysis.phases.find((p) => p.kind === 'rise')
    // as the fixture's first line says: plateau 24 mg/L, k 0.6/min, half-life 30 min
    const { value, ci95 } =
      rise?.kind === 'rise'
        ? (rise.plateau_mg_l as { value: number; ci95: [number, number] })
        : { value: 0, ci95: [0, 0] }
    expect(ci95[0]).toBeLessThan(24)
    expect(ci95[1]).toBeGreaterThan(24)
    expect(value).toBeCloseTo(24, 0)

    const file = join(temporaryFolder(), 'readings.csv')
    expect((await runToEnd(['export', batch, '--out', file], { home })).code).toBe(0)
    const text = readFileSync(file, 'utf8')
    expect(text).toContain('# Spargewatch readings of batch')
    const other = newHome()
    const again = numberIn((await importInto(other, file, EVENTS)).stdout)
    const second = JSON.parse(await exported('analysis', other, again)) as Analysis
    const numbersOf = (a: Analysis) => a.phases.map(({ start: _s, end: _e, ...rest }) => rest)
    expect(numbersOf(second)).toEqual(numbersOf(analysis))
    const analysed = await runToEnd(['analyse', file, '--json', ...EVENTS])
    expect(analysed.code).toBe(0)
    const kinds = (JSON.parse(analysed.stdout) as Analysis).phases.map((p) => p.kind)
    expect(kinds).toEqual(analysis.phases.map((p) => p.kind))
  })

  it('refuses what does not exist in one line each', async () => {
    const home = newHome()
    const batch = numberIn((await importInto(home, WHOLE_BATCH)).stdout)
    const wrong: [string[], string][] = [
      [['A-1999-01-01-1'], 'no batch A-1999-01-01-1 in this home'],
      [[batch, '--what', 'gossip'], '--what needs readings, record, analysis or all, got gossip'],
      [[batch, '--out', '/nowhere/at/all.csv'], '/nowhere/at/all.csv'],
      [[batch, '--out', home], home],
    ]
    for (const [args, said] of wrong) {
      const { code, stderr } = await runHere(['export', ...args], home)
      expect(stderr).toContain(said)
      expect(stderr.trimEnd().split('\n')).toHaveLength(1)
      expect(code).toBe(2)
    }
  })

  it('ends quietly when its reader has had enough', async () => {
    const home = newHome()
    const batch = numberIn((await importInto(home, WHOLE_BATCH)).stdout)
    const cli = join(PACKAGE, 'server/launch/spargewatch.mjs')
    const head = runOther('sh', ['-c', `"${process.execPath}" "${cli}" export ${batch} | head -n 2`], {
      home,
    })
    await head.ended()
    expect(head.stderr()).toBe('')
    expect(head.stdout()).toContain('# Spargewatch readings')
  })
})
