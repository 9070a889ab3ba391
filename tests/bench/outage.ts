import type { Reading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { hasInflux } from '../support/influx-server.ts'
import { canPair } from '../support/pty-pair.ts'
import { until } from '../support/until.ts'
import { type BothSides, heldAgainst, isSame, readingsThere } from './both-sides.ts'
import { type HealthSeen, lookAtHealth } from './health-seen.ts'
import {
  DATABASE,
  LINES_COUNTED,
  METER,
  type OutageScene,
  PEER_DATABASE,
  SITE,
  setScene,
} from './outage-scene.ts'
import { plainWriteRate } from './plain-write.ts'
import { sleep } from './program.ts'
import type { Row } from './row.ts'
import { longest, longestOutside } from './stillness.ts'

const BEFORE_MS = 30_000
/** So much of a batch has left when the second kill comes, and no answer to it. */
const MID_BATCH_BYTES = 20_000
const CATCH_UP_WITHIN_MS = 300_000
/** From here on an outage must have been alarmed (`server/alarm/forwarding-backlog.ts`). */
const ALARMED_FROM_MIN = 6

interface Story {
  readonly seen: HealthSeen
  /** Readings stored here and not acknowledged when InfluxDB came back. */
  readonly backlog: number
  /** Bytes of a batch that had left, unanswered, when InfluxDB was killed again. */
  readonly cutBytes: number
  readonly caughtUpS: number
  readonly perSecond: number
  readonly here: readonly Reading[]
  readonly sides: BothSides
  readonly plain: number
  /** Readings of the peer's that arrived, of those it was given. */
  readonly plainArrived: string
}

/**
 * InfluxDB is killed, stays away for so many minutes, comes back, is killed again under a batch, and comes back; the
 * daemon is killed twice while it is away. Anything lacking on either side is a failure (exit code 1).
 */
export const benchOutage = async (minutes = 10): Promise<Row[]> => {
  if (!hasInflux || !canPair) return leftOut()
  const scene = await setScene()
  try {
    const story = await play(scene, minutes)
    const faults = faultsOf(scene, story, minutes)
    for (const fault of faults) console.error(`  FAILED: ${fault}`)
    if (faults.length > 0) process.exitCode = 1
    return rowsOf(scene, story, minutes)
  } finally {
    await scene.close()
  }
}

const leftOut = (): Row[] => {
  process.exitCode = 1
  const what = 'an outage of InfluxDB'
  return [{ what, ours: 'left out: needs influxd and socat', peer: '', ratio: null, budget: 'the same' }]
}

const say = (what: string) => console.error(`  ${new Date().toISOString().slice(11, 19)} ${what}`)

const play = async (scene: OutageScene, minutes: number): Promise<Story> => {
  await until('readings to be sent on', () => scene.acknowledged() > 100)
  await sleep(BEFORE_MS)
  say(`InfluxDB killed, ${scene.acknowledged()} readings there`)
  const stopLooking = lookAtHealth(scene.address)
  await scene.killInflux()
  for (const part of [1, 2, 3]) {
    await sleep((minutes * 60_000) / 3)
    if (part < 3) say('daemon killed')
    if (part < 3) await scene.killDaemon()
  }
  const backlog = scene.waiting()
  say(`InfluxDB back, ${backlog} readings wait`)
  const back = performance.now()
  await scene.startInflux()
  const cutBytes = await midBatch(scene)
  say(`InfluxDB killed again with ${cutBytes} bytes of a batch on their way`)
  await scene.killInflux()
  await scene.startInflux()
  const from = scene.acknowledged()
  await until('the backlog to be gone', () => scene.waiting() < 100, CATCH_UP_WITHIN_MS)
  const caughtUp = performance.now()
  const sent = scene.acknowledged() - from
  say('caught up')
  await sleep(BEFORE_MS / 3)
  const seen = await stopLooking()
  scene.ticking.stop()
  const here = await until('everything to be sent on', async () => {
    const stored = scene.readings()
    await sleep(500)
    return scene.waiting() === 0 && scene.readings().length === stored.length && stored
  })
  const connection = connectInflux(scene.influx.target(DATABASE), { kind: 'none' })
  return {
    seen,
    backlog,
    cutBytes,
    caughtUpS: (caughtUp - back) / 1000,
    perSecond: sent / ((caughtUp - (scene.wire.firstSentAt() ?? back)) / 1000),
    here,
    sides: heldAgainst(here, await readingsThere(connection, SITE, METER)),
    ...(await plainly(scene, here.slice(0, sent))),
  }
}

const plainly = async ({ influx }: OutageScene, readings: readonly Reading[]) => {
  const plain = await plainWriteRate(influx.url, PEER_DATABASE, readings)
  const answer = await influx.tell('SELECT count(seq) FROM reading', PEER_DATABASE)
  const arrived = /"values":\[\[[^,]+,(\d+)\]\]/.exec(answer)?.[1] ?? '0'
  return { plain, plainArrived: `${arrived} of ${readings.length}` }
}

const midBatch = async ({ wire }: OutageScene): Promise<number> => {
  const end = performance.now() + CATCH_UP_WITHIN_MS
  while (wire.unanswered() < MID_BATCH_BYTES && performance.now() < end)
    await new Promise((again) => setImmediate(again))
  return wire.unanswered()
}

/** Places where the meter's own count jumps, in what was stored: only a killed daemon may miss a line. */
const jumpsOf = (here: readonly Reading[]): number => {
  const counts = here
    .filter((r) => r.series.channel === 'dissolved-ozone')
    .map((r) => Math.round((r.raw ?? Number.NaN) * 1000))
  return counts.filter((count, i) => i > 0 && count !== ((counts[i - 1] ?? 0) + 1) % LINES_COUNTED).length
}

const faultsOf = ({ daemonAway }: OutageScene, story: Story, minutes: number): string[] => {
  const { sides, seen, here, backlog } = story
  const jumps = jumpsOf(here)
  return [
    isSame(sides) ? '' : `the two sides differ: ${JSON.stringify(sides)}`,
    jumps <= daemonAway.length
      ? ''
      : `${jumps} gaps in what was stored, ${daemonAway.length} kills of the daemon`,
    story.cutBytes >= MID_BATCH_BYTES ? '' : 'InfluxDB was not killed under a batch',
    seen.waiting >= 0.9 * backlog
      ? ''
      : `health told of ${seen.waiting} waiting readings at most, of ${backlog}`,
    seen.alarmedAfterS !== null || minutes < ALARMED_FROM_MIN ? '' : 'the backlog was never alarmed',
  ].filter((fault) => fault !== '')
}

const rowsOf = ({ screen, ticking, daemonAway }: OutageScene, story: Story, minutes: number): Row[] => {
  const { sides, seen, here } = story
  const row = (what: string, ours: string, budget = '', peer = '', ratio: number | null = null): Row => ({
    what,
    ours,
    peer,
    ratio,
    budget,
  })
  const stills = screen.stills()
  const alarmed =
    seen.alarmedAfterS === null ? 'not alarmed' : `alarmed after ${seen.alarmedAfterS.toFixed(0)} s`
  return [
    row(
      `InfluxDB away for ${minutes} min and killed under a batch: readings here / there`,
      `${sides.here} / ${sides.there}`,
      'the same',
    ),
    row(
      '  lacking there, there only, different, doubled',
      [sides.lacking, sides.extra, sides.different, sides.doubled].join(', '),
      '0, 0, 0, 0',
    ),
    row(
      '  lines sent by the meter / stored / gaps in their count',
      [ticking.sent(), here.length / 2, jumpsOf(here)].join(' / '),
      `≤ ${daemonAway.length} gaps (kills of the daemon)`,
    ),
    row(
      '  backlog when it came back',
      `${story.backlog} readings`,
      '',
      `${seen.waiting} greatest in /api/health`,
    ),
    row(
      '  oldest waiting in /api/health',
      `${seen.oldestS.toFixed(0)} s, ${alarmed}`,
      minutes < ALARMED_FROM_MIN ? '' : 'alarmed',
    ),
    row(
      '  longest stillness of the live screen',
      `${longestOutside(stills, daemonAway).toFixed(0)} ms`,
      '',
      `${longest(stills).toFixed(0)} ms with the kills of the daemon`,
    ),
    row('  slowest answer of /api/health', `${seen.slowestMs.toFixed(0)} ms`),
    row('  from coming back to caught up, the second kill included', `${story.caughtUpS.toFixed(1)} s`),
    row(
      '  readings sent on per second while catching up',
      `${story.perSecond.toFixed(0)}/s`,
      '',
      `${story.plain.toFixed(0)}/s the client's own write API (${story.plainArrived} arrived)`,
      story.plain / story.perSecond,
    ),
  ]
}
