import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { io } from 'socket.io-client'
import type { LiveReadings } from '../../server/wire.ts'
import { meterLine, startMeter } from '../support/meter.ts'
import { sleep, startProgram } from './program.ts'
import { quantile, type Row } from './row.ts'

const BENCHES = 50
const SECONDS = 30

/** From the last byte of a line to the reading at a screen, durable in between; peer: one bare durable commit. */
export const benchLineToScreen = async (): Promise<Row[]> => {
  const meters = await Promise.all(Array.from({ length: BENCHES }, () => startMeter()))
  const program = await startProgram(meters)
  const sentAt = new Map<number, number>()
  const delays: number[] = []
  const socket = io(program.address, { transports: ['websocket'] })
  socket.on('readings', (news: LiveReadings) => {
    if (news.channel !== 'dissolved-ozone') return
    for (const [, value] of news.readings) {
      const sent = value === null ? undefined : sentAt.get(value)
      if (sent !== undefined) delays.push(performance.now() - sent)
    }
  })
  await new Promise<void>((connected) => void socket.on('connect', () => connected()))
  for (let i = 0; i < BENCHES; i++) await socket.emitWithAck('watch', `b${i}`)
  await sleep(2000)
  let value = 0
  for (const meter of meters) meter.send('\r\n')
  const timers = meters.map((meter, i) => {
    const beat = () => {
      value += 1
      sentAt.set(value, performance.now())
      meter.send(meterLine(value, value, 20))
    }
    return setTimeout(() => timers.push(setInterval(beat, 1000)), (1000 * i) / BENCHES)
  })
  await sleep(SECONDS * 1000)
  for (const timer of timers) clearInterval(timer)
  await sleep(1000)
  const sent = sentAt.size
  socket.close()
  program.stop()
  await Promise.all(meters.map((meter) => meter.close()))
  const commit = commitMs()
  const p99 = quantile(delays, 0.99)
  return [
    {
      what: `line sent → durable → at the screen, ${BENCHES} benches at 1 Hz (${delays.length} of ${sent} arrived)`,
      ours: `p50 ${quantile(delays, 0.5).toFixed(0)} ms, p99 ${p99.toFixed(0)} ms`,
      peer: `p99 ${commit.toFixed(1)} ms one bare durable commit`,
      ratio: p99 / commit,
      budget: 'p99 ≤ 150 ms (commit window 50 ms)',
    },
  ]
}

const commitMs = (): number => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const db = new Database(join(folder, 'bare.db'))
  db.pragma('journal_mode = WAL')
  db.pragma('synchronous = FULL')
  db.exec('CREATE TABLE r (t INTEGER PRIMARY KEY, v REAL)')
  const insert = db.prepare('INSERT INTO r VALUES (?, ?)')
  const times = Array.from({ length: 300 }, (_, i) => {
    const start = performance.now()
    insert.run(i, i)
    return performance.now() - start
  })
  db.close()
  rmSync(folder, { recursive: true, force: true })
  return quantile(times, 0.99)
}
