import { io } from 'socket.io-client'
import { meterLine, startMeter } from '../support/meter.ts'
import { openBatch } from './open-batch.ts'
import { sleep, startProgram, usageOf } from './program.ts'
import type { Row } from './row.ts'

const BENCHES = 100
const SCREENS = 20
const SECONDS = 30
/** A heap takes its time to grow to what it is going to be. */
const SETTLE_MS = 90_000

/** A hundred benches with open batches and twenty screens; peer: this bench process, which only sends and listens. */
export const benchServerLoad = async (): Promise<Row[]> => {
  const meters = await Promise.all(Array.from({ length: BENCHES }, () => startMeter()))
  const program = await startProgram(meters)
  for (let i = 0; i < BENCHES; i++) await openBatch(program.address, `b${i}`)
  const screens = Array.from({ length: SCREENS }, () => io(program.address, { transports: ['websocket'] }))
  await Promise.all(screens.map((s, i) => s.emitWithAck('watch', `b${i}`)))
  const started = performance.now()
  const potency = () => 20 * (1 - Math.exp(-(performance.now() - started) / 60_000)) + Math.random() * 0.2
  const timers = meters.map((meter) =>
    setInterval(() => meter.send(meterLine(1, potency().toFixed(3), 20)), 1000),
  )
  await sleep(SETTLE_MS)
  const before = [usageOf(program.server.pid), usageOf(program.daemon.pid), process.cpuUsage()] as const
  await sleep(SECONDS * 1000)
  const after = [usageOf(program.server.pid), usageOf(program.daemon.pid)] as const
  const own = process.cpuUsage(before[2])
  for (const timer of timers) clearInterval(timer)
  for (const screen of screens) screen.close()
  program.stop()
  await Promise.all(meters.map((meter) => meter.close()))
  const ownShare = (own.user + own.system) / 1e6 / SECONDS
  const row = (what: string, index: 0 | 1, budget: string): Row => {
    const share = (after[index].cpuS - before[index].cpuS) / SECONDS
    return {
      what: `${what}: ${BENCHES} benches at 1 Hz, ${SCREENS} screens`,
      ours: `${(100 * share).toFixed(0)} % of a core, ${after[index].rssMb.toFixed(0)} MB`,
      peer: `${(100 * ownShare).toFixed(0)} % the sender and listener itself`,
      ratio: share / ownShare,
      budget,
    }
  }
  return [row('server', 0, '≤ 50 % of a core, ≤ 250 MB'), row('daemon', 1, '≤ 120 MB')]
}
