import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { readingsFile } from '../../ingest/store/home.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { ledgerFile } from '../../server/home-files.ts'
import { Ledger } from '../../server/ledger/ledger.ts'
import type { BatchRecord } from '../../server/wire.ts'
import { newEntry, OPENED } from '../support/entries.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, PACKAGE, runToEnd } from '../support/program.ts'

afterEach(endAll)

const LOG = join(PACKAGE, 'fixtures/batches/whole-batch.csv')
const WHAT = [
  ...['--who', 'Ines', '--fluid', 'saline', '--volume-ml', '250', '--target', '15'],
  ...['--ozone-on', '2026-03-04T14:01:00Z', '--ozone-off', '2026-03-04T14:11:00Z'],
  ...['--flow-off', '2026-03-04T14:12:00Z'],
]

const record = async (home: string, args: readonly string[]): Promise<BatchRecord> => {
  const done = await runToEnd(['export', ...args], { home })
  expect(done).toMatchObject({ code: 0, stderr: '' })
  return JSON.parse(done.stdout) as BatchRecord
}

/** The words of a record's command after the program's name, as a shell would hand them over. */
const wordsOf = ({ worked_from }: BatchRecord): string[] => worked_from.command.split(' ').slice(3)

const withLedger = (home: string, change: (ledger: Ledger) => void): void => {
  const ledger = new Ledger(ledgerFile(home), 'real')
  try {
    change(ledger)
  } finally {
    ledger.close()
  }
}

/** A reading of the batch's own meter that came to the store after the record was made. */
const lateReading = async (home: string, { summary, worked_from }: BatchRecord): Promise<void> => {
  const store = new SqliteStore({ path: readingsFile(home), kind: 'real', writes: true })
  const at = Date.parse(summary.head.ozone_on_at[0] ?? '') * 1000 + 300.5e6
  const series = {
    bench: summary.head.bench,
    instrument: worked_from.meter ?? '',
    channel: 'dissolved-ozone' as const,
  }
  store.appendNow([
    {
      series,
      timeUs: timeUs(at),
      bootId: 'late',
      monoMs: 1,
      raw: 20,
      value: 20,
      quality: 'good',
      movedUs: 0,
    },
  ])
  await store.close()
}

describe('the command that stands on a record', () => {
  it('gives the same numbers again after a calibration, a step test, a note and a reading that came later', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    await runToEnd(['import', LOG, ...WHAT], { home })
    const first = await record(home, ['imported-2026-03-04-1', '--what', 'all'])
    expect(first.worked_from).toMatchObject({ calibrations: [], earlier_batches: 0 })
    expect(first.worked_from.command).toMatch(/^npx spargewatch export imported-2026-03-04-1 --what all /)
    expect(first.fits.map((f) => [f.kind, f.status])).toEqual([
      ['rise', 'fitted'],
      ['purge', 'fitted'],
      ['decay', 'fitted'],
    ])

    const batch = first.summary.head.id
    withLedger(home, (ledger) => {
      const bench = first.summary.head.bench
      const instrument = first.worked_from.meter ?? ''
      ledger.append(
        newEntry(
          'calibration',
          0,
          {
            instrument,
            channel: 'dissolved-ozone',
            slope: 0.9,
            zero: 0.2,
            u_slope_percent: 3,
            u_zero: 0.1,
            method: 'indigo',
          },
          { happened_at: '2026-03-01T09:00:00Z', bench: null, batch: null },
        ),
      )
      ledger.append(newEntry('note', 5, { text: 'typed later' }, { batch, bench }))
    })

    await lateReading(home, first)
    const now = await record(home, ['imported-2026-03-04-1', '--what', 'all'])
    expect(now.worked_from.calibrations).toMatchObject([{ slope: 0.9, zero_mg_l: 0.2 }])
    expect(now.worked_from.readings).toBe(first.worked_from.readings + 1)
    expect(now.worked_from.input_sha256).not.toBe(first.worked_from.input_sha256)
    const plateau = (r: BatchRecord) => r.summary.plateau_mg_l?.value ?? Number.NaN
    // (reading − 0.2)/0.9; the one reading more moves it by a little
    expect(plateau(now)).toBeCloseTo((plateau(first) - 0.2) / 0.9, 1)

    withLedger(home, (ledger) =>
      ledger.append(
        newEntry(
          'step-test',
          0,
          {
            instrument: first.worked_from.meter ?? '',
            channel: 'dissolved-ozone',
            from: '2026-03-01T09:10:00.000Z',
            to: '2026-03-01T09:12:00.000Z',
            tau_s: 14,
            u_tau_s: 0.5,
            area_tau_s: 14,
            began_s: 1,
            readings: 110,
          },
          { happened_at: '2026-03-01T09:12:00Z', bench: null, batch: null },
        ),
      ),
    )
    const tested = await record(home, ['imported-2026-03-04-1', '--what', 'all'])
    expect(tested.worked_from.probe_lag_s).toEqual({ tau: 14, u: 0.5 })
    expect(now.worked_from.probe_lag_s).not.toEqual({ tau: 14, u: 0.5 })

    const again = await record(home, wordsOf(first))
    expect(again).toEqual(first)
    expect(await record(home, wordsOf(now))).toEqual(now)
    expect(await record(home, wordsOf(tested))).toEqual(tested)
  })

  it('gives them again for a batch that was still open then', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    await runToEnd(['import', LOG, ...WHAT], { home })
    const { bench } = (await record(home, ['imported-2026-03-04-1', '--what', 'all'])).summary.head
    withLedger(home, (ledger) => {
      const at = (time: string) => ({ happened_at: `2026-03-04T${time}Z`, bench })
      ledger.append(newEntry('batch-opened', 0, OPENED, at('14:00:00')))
      ledger.append(newEntry('ozone-on', 1, {}, at('14:01:00')))
      ledger.append(newEntry('ozone-off', 2, {}, at('14:11:00')))
      ledger.append(newEntry('flow-off', 3, {}, at('14:12:00')))
    })
    const open = await record(home, [OPENED.number, '--what', 'all'])
    expect(open.curves.expectation_band.length).toBeGreaterThan(0)
    expect(open.summary.head.discarded_at).toBeNull()
    expect(await record(home, wordsOf(open))).toEqual(open)
  })

  it('refuses a number of entries or a time that is none', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    const tried = (more: string[]) => runToEnd(['export', 'x', ...more], { home })
    expect(await tried(['--ledger-entries', '-3'])).toMatchObject({ code: 2 })
    const time = await tried(['--at', '2026-03-04T14:00:00'])
    expect(time.code).toBe(2)
    expect(time.stderr).toContain('with an offset')
  })
})
