import { join } from 'node:path'
import { io } from 'socket.io-client'
import { v7 as uuidv7 } from 'uuid'
import { afterEach, expect, it, onTestFinished } from 'vitest'
import type { Reading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { LiveBench } from '../../server/wire.ts'
import { person } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, readingsOf, tcpPort, valuesOf, wiring } from '../support/home.ts'
import { startMeter, startTicking } from '../support/meter.ts'
import { endAll, type Program, runPart, runToEnd } from '../support/program.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

const KILLS_OF_EACH = 12

/**
 * Kills a part again and again: at work, right after it has done something, now and then while it starts. Ends with
 * it running.
 */
const killAgainAndAgain = async (run: () => Program, hasWorked: () => Promise<unknown>): Promise<void> => {
  let program = run()
  await program.started()
  for (let kill = 0; kill < KILLS_OF_EACH; kill++) {
    if (kill % 5 !== 4) await program.started()
    if (kill % 2 === 0) await hasWorked()
    await pause(Math.random() * 300)
    program.kill('SIGKILL')
    await program.ended()
    program = run()
  }
  await program.started()
}

const oneMore = (what: string, count: () => number): Promise<boolean> => {
  const before = count()
  return until(`one more ${what}`, () => count() > before)
}

/** Another reader of the store, who remembers every reading as soon as it can be seen. */
const watchStore = (home: string) => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  const seen = new Map<number, Reading>()
  const timer = setInterval(() => {
    for (const reading of store.after(Math.max(0, ...seen.keys()), 1000)) seen.set(reading.seq, reading)
  }, 20)
  onTestFinished(() => {
    clearInterval(timer)
    store.db.close()
  })
  return seen
}

/** A screen that stays open through it all. */
const openScreen = (address: string) => {
  const socket = io(address, { reconnectionDelay: 100, reconnectionDelayMax: 500 })
  const screen = { connects: 0, values: [] as number[], close: () => void socket.close() }
  socket.on('connect', () => {
    screen.connects += 1
    socket.emit('watch', 'A', () => {})
  })
  socket.on('live', ({ potency }: LiveBench) => {
    if (potency.state === 'live' && potency.value_mg_l !== null) screen.values.push(potency.value_mg_l)
  })
  onTestFinished(screen.close)
  return screen
}

/** Notes written one after the other; `answered` are those the program said it has. */
const keepWriting = (address: string, batch: string) => {
  const tried: string[] = []
  const answered: string[] = []
  let going = true
  const note = (id: string) =>
    person(address).enter(batch, { kind: 'note', data: { text: `note ${id}` } }, 1_000_000, { id })
  const write = async () => {
    while (going) {
      const id = uuidv7()
      tried.push(id)
      const answer = await note(id).catch(() => undefined)
      if (answer?.status === 200) answered.push(id)
      await pause(300)
    }
  }
  const done = write()
  const stop = () => {
    going = false
    return done
  }
  return { tried, answered, note, stop }
}

it('nothing that was durable is lost or doubled when daemon and server are killed a dozen times each', async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const home = makeHome(wiring({ port: tcpPort(meter.port), intervalS: 0.1 }))
  const port = String(await freePort())
  const address = `http://127.0.0.1:${port}`
  const ticking = startTicking(meter, 100)
  onTestFinished(ticking.stop)
  const runDaemon = () => runPart(['daemon'], { home })
  const runServer = () => runPart(['serve'], { home, env: { PORT: port } })

  const first = [runDaemon(), runServer()]
  for (const program of first) await program.started()
  const ines = person(address)
  const batch = await ines.opens()
  await ines.does(batch, { kind: 'ozone-on' })
  const seen = watchStore(home)
  const screen = openScreen(address)
  const notes = keepWriting(address, batch)
  const anchor = (await ines.health()).ledger
  for (const program of first) program.kill('SIGKILL')
  for (const program of first) await program.ended()

  await Promise.all([
    killAgainAndAgain(runDaemon, () => oneMore('reading', () => seen.size)),
    killAgainAndAgain(runServer, () => oneMore('note', () => notes.answered.length)),
  ])
  await notes.stop()
  const valuesBefore = screen.values.length
  await until('live values on the screen again', () => screen.values.length > valuesBefore + 2)
  expect(screen.connects).toBeGreaterThan(2)

  const bench = await until('the bench to be live', async () => {
    const now = await ines.bench()
    return now.potency.state === 'live' && now
  })
  expect(bench.batch?.id).toBe(batch)
  expect(bench.phase.kind).toBe('bubbling')

  const stored = new Map(readingsOf(home).map((r) => [r.seq, r]))
  expect(seen.size).toBeGreaterThan(50)
  for (const [seq, reading] of seen) expect(stored.get(seq)).toEqual(reading)
  const values = valuesOf([...stored.values()])
  expect(new Set(values).size, 'each line is there once').toBe(values.length)
  const last = ticking.sent()
  for (const value of values) {
    const count = Math.round((value ?? Number.NaN) * 1000)
    expect(count >= 1 && count <= last, `${value} was sent`).toBe(true)
  }

  expect(notes.answered.length).toBeGreaterThanOrEqual(KILLS_OF_EACH / 2)
  for (const id of notes.tried) await notes.note(id)
  const entries = (await ines.record(batch)).entries.map((e) => e.id)
  for (const id of notes.tried) expect(entries.filter((e) => e === id)).toEqual([id])

  const plain = await runToEnd(['ledger', 'verify'], { home })
  expect(plain).toMatchObject({ code: 0, stderr: '' })
  const anchored = await runToEnd(['ledger', 'verify', '--anchor', `${anchor.entries}:${anchor.head}`], {
    home,
  })
  expect(anchored.stdout).toContain('anchor: matches')
}, 300_000)
