import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { readingsFile } from '../../ingest/store/home.ts'
import { KeptResults, resultsFile } from '../../ingest/store/kept-results.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { BatchRecord, Health } from '../../server/wire.ts'
import { get } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, PACKAGE, runPart, runToEnd } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const LOG = join(PACKAGE, 'fixtures/batches/whole-batch.csv')
const NUMBER = 'imported-2026-03-04-1'
const WHAT = [
  ...['--who', 'Ines', '--fluid', 'saline', '--volume-ml', '250', '--target', '15'],
  ...['--ozone-on', '2026-03-04T14:01:00Z', '--ozone-off', '2026-03-04T14:11:00Z'],
  ...['--flow-off', '2026-03-04T14:12:00Z'],
]

const recordOf = async (home: string): Promise<BatchRecord> => {
  const done = await runToEnd(['export', NUMBER, '--what', 'all'], { home })
  expect(done).toMatchObject({ code: 0, stderr: '' })
  return JSON.parse(done.stdout) as BatchRecord
}

const isKept = (home: string): boolean => {
  if (!existsSync(resultsFile(home))) return false
  const results = new KeptResults(resultsFile(home), 'real', false)
  try {
    return results.db.prepare('SELECT count(*) FROM kept').pluck().get() === 1
  } finally {
    results.close()
  }
}

/** All of them at once, as retention does in slices. */
const removeRawReadings = async (home: string): Promise<void> => {
  const store = new SqliteStore({ path: readingsFile(home), kind: 'real', writes: true })
  expect(await store.prune(timeUs(Date.now() * 1000))).toBeGreaterThan(1000)
  await store.close()
}

describe('results of a batch', () => {
  it('are kept by the server before its readings are removed, and are in exports, answers and back-ups after it', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }).replace('store: {', 'store: { keep_raw_days: 30,'))
    await runToEnd(['import', LOG, ...WHAT], { home })
    const before = await recordOf(home)
    expect(before.fits.map((f) => f.status)).toEqual(['fitted', 'fitted', 'fitted'])
    expect(before.results_kept).toBeNull()

    const port = String(await freePort())
    const server = runPart(['serve'], { home, env: { PORT: port } })
    await server.started()
    await until('the results to be kept', () => isKept(home))
    const { store } = await get<Health>(`http://127.0.0.1:${port}`, '/api/health')
    expect(Date.parse(store.results_kept_before ?? '')).toBeLessThan(Date.now() - 25 * 3_600_000)
    await removeRawReadings(home)
    const shown = await get<BatchRecord>(`http://127.0.0.1:${port}`, `/api/batches/${before.summary.head.id}`)
    expect(shown.results_kept).toMatchObject({ newer_entries: false })
    expect(shown.readings_removed_before).not.toBeNull()
    expect([shown.fits, shown.verdicts, shown.curves]).toEqual([before.fits, before.verdicts, before.curves])

    const folder = join(temporaryFolder(), 'back-up')
    expect(await runToEnd(['backup', folder], { home })).toMatchObject({ code: 0 })
    server.kill('SIGTERM')
    await server.ended()
    const elsewhere = join(temporaryFolder(), 'another-home')
    expect(await runToEnd(['restore', folder], { home: elsewhere })).toMatchObject({ code: 0 })
    const restored = await recordOf(elsewhere)
    expect(restored.results_kept).toEqual(shown.results_kept)
    expect(restored.fits).toEqual(before.fits)
    expect(await runToEnd(['ledger', 'verify'], { home: elsewhere })).toMatchObject({ code: 0 })
  }, 180_000)
})
