import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { pathToFileURL } from 'node:url'
import { expect, it, onTestFinished } from 'vitest'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { PACKAGE } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

const KILLS = 15
const BUILT = pathToFileURL(join(PACKAGE, 'dist/ingest/store/sqlite-store.js')).href
/** Logs and rolls up as fast as it can, late readings among them, until it is killed. */
const WORK = `
  const { SqliteStore } = await import(process.argv[1])
  const store = new SqliteStore({ path: process.argv[2], kind: 'real', writes: true })
  const series = { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' }
  console.log('at work')
  for (;;) {
    const batch = Array.from({ length: 40 }, () => {
      const at = Math.floor(Math.random() * 86400e6)
      const value = at % 1009
      return { series, timeUs: at, bootId: 'b', monoMs: at / 1000, raw: value, value, quality: 'good', movedUs: 0 }
    })
    store.appendNow(batch)
    store.rollUp.step(7 + Math.floor(Math.random() * 60))
  }`

/** Minutes whose roll-up is not what the readings up to the mark come to. */
const WRONG_MINUTES = `
  WITH raw AS (
    SELECT series, time_us / 60000000 AS unit, min(value) AS least, max(value) AS greatest, count(*) AS count
    FROM reading NOT INDEXED WHERE seq <= (SELECT seq FROM rolled_up) GROUP BY 1, 2
  )
  SELECT count(*) FROM raw FULL JOIN roll_up_minute m USING (series, unit)
  WHERE raw.least IS NOT m.least OR raw.greatest IS NOT m.greatest OR raw.count IS NOT m.count`

it('a kill while readings are rolled up leaves each of them in its minute once or not at all', async () => {
  const path = join(temporaryFolder(), 'readings.db')
  for (let kill = 0; kill < KILLS; kill++) {
    const child = spawn(process.execPath, ['--input-type=module', '-e', WORK, BUILT, path])
    await once(child.stdout, 'data')
    await sleep(20 + 15 * kill)
    child.kill('SIGKILL')
    await once(child, 'exit')
  }
  const store = new SqliteStore({ path, kind: 'real', writes: true })
  onTestFinished(() => void store.db.close())
  expect(store.rollUp.rolledUp().seq).toBeGreaterThan(KILLS * 7)
  const wrong = () => store.db.prepare(WRONG_MINUTES).pluck().get()
  expect(wrong()).toBe(0)
  while (store.rollUp.step(10_000) > 0);
  expect(wrong()).toBe(0)
  const rows = store.db.prepare('SELECT count(*) FROM reading').pluck().get()
  expect(store.rollUp.rolledUp().rows).toBe(rows)
})
