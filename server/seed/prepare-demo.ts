import { existsSync, mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { stringify } from 'yaml'
import { playScript } from '../../ingest/bench-simulator/play-script.ts'
import { configFile, readIngestConfig } from '../../ingest/config.ts'
import { seriesOf } from '../../ingest/daemon.ts'
import { readingsFile } from '../../ingest/store/home.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { readServerConfig } from '../config.ts'
import { ledgerFile } from '../home-files.ts'
import { foldBatch } from '../ledger/batch.ts'
import { Ledger } from '../ledger/ledger.ts'
import { type BatchPlan, scriptOf } from './batch-plan.ts'
import { DEMO_OPERATOR, filteredSettings, livePlans, PEOPLE } from './clinic.ts'
import { freePorts } from './free-ports.ts'
import { pastBatches } from './history-plans.ts'
import { writeDemoSheets } from './sheets.ts'
import { joinDemoBatches, planDemoTrials } from './trials.ts'
import { type Seeding, writeBatch } from './write-batch.ts'

/** A demonstration left alone for longer starts a new scene; before that it goes on where it was. */
const SCENE_GOES_ON_MS = 3 * 3600_000
const DAY_MS = 86_400_000

/** Makes the demonstration's home ready: config, four weeks of history once, and a scene in full swing. */
export const prepareDemo = async (home: string): Promise<void> => {
  mkdirSync(home, { recursive: true, mode: 0o700 })
  writeFileSync(configFile(home), await demoConfig(), { mode: 0o600 })
  const { zone } = readServerConfig(home)
  const isNew = !existsSync(readyFile(home))
  if (isNew) removeHalfMade(home)
  const store = new SqliteStore({ path: readingsFile(home), kind: 'simulated', writes: true })
  const ledger = new Ledger(ledgerFile(home), 'simulated')
  const seeding = { store, ledger, zone }
  try {
    store.wire(seriesOf(readIngestConfig(home)))
    const nowMs = Date.now()
    writeDemoSheets(ledger, isNew ? firstDayMs(nowMs) : nowMs - 3_600_000)
    if (isNew) writeHistory(seeding, nowMs)
    if (nowMs - newestEntryMs(ledger) > SCENE_GOES_ON_MS || isNew) startScene(seeding, nowMs)
    if (isNew) writeFileSync(readyFile(home), 'The invented history is complete.\n', { mode: 0o600 })
  } finally {
    ledger.close()
    await store.close()
  }
}

/** Stands when history and scene are written: a first start that was cut short begins anew. */
const readyFile = (home: string): string => join(home, '.ready')

const removeHalfMade = (home: string): void => {
  for (const file of [readingsFile(home), ledgerFile(home)])
    for (const ending of ['', '-wal', '-shm', '-journal']) rmSync(`${file}${ending}`, { force: true })
}

const newestEntryMs = (ledger: Ledger): number => {
  const opened = ledger.ofKind('batch-opened').filter((e) => e.who.name === DEMO_OPERATOR)
  return Math.max(0, ...opened.map((e) => Date.parse(e.happened_at)))
}

const writeHistory = (seeding: Seeding, nowMs: number): void => {
  const midnight = Math.floor(nowMs / DAY_MS) * DAY_MS
  calibrate(seeding.ledger, firstDayMs(nowMs))
  planDemoTrials(seeding.ledger, firstDayMs(nowMs) + 3_600_000)
  for (const { plan, daysAgo, minuteOfDay, who } of pastBatches())
    writeBatch(seeding, {
      plan,
      openedMs: midnight - daysAgo * DAY_MS + minuteOfDay * 60_000,
      untilMs: nowMs,
      who,
    })
  joinDemoBatches(seeding.ledger, nowMs)
}

/** Before the first invented batch. */
const firstDayMs = (nowMs: number): number => (Math.floor(nowMs / DAY_MS) - 29) * DAY_MS

const calibrate = (ledger: Ledger, atMs: number): void => {
  const at = new Date(atMs).toISOString()
  ledger.appendAll(
    ['meter-a', 'meter-b'].map((instrument) => ({
      id: uuidv7(),
      happened_at: at,
      entered_at: at,
      bench: null,
      batch: null,
      who: { name: PEOPLE[2], how: 'typed' as const },
      kind: 'calibration' as const,
      data: {
        instrument,
        channel: 'dissolved-ozone',
        slope: 1,
        zero: 0.05,
        u_slope_percent: 2.5,
        u_zero: 0.1,
        tau_s: 9,
        u_tau_s: 1,
        method: 'indigo, simulated',
        reference_method: 'indigo',
        fluid: 'distilled',
        senses: 'concentration',
      },
    })),
  )
}

/** Bench A has just begun to bubble; bench B stands, a minute and a half above its target; bench C has typed values. */
const startScene = (seeding: Seeding, nowMs: number): void => {
  discardLeftOvers(seeding.ledger, nowMs)
  const plans = livePlans(Math.floor(nowMs / 1000) % 1_000_000)
  writeBatch(seeding, { plan: plans.A, openedMs: nowMs - 130_000, untilMs: nowMs, who: DEMO_OPERATOR })
  writeBatch(seeding, {
    plan: plans.B,
    openedMs: nowMs - (crossingS(plans.B) - 75) * 1000,
    untilMs: nowMs,
    who: DEMO_OPERATOR,
  })
  writeHandBatch(seeding, nowMs)
}

/** When the true value of a plan falls below its target. */
const crossingS = (plan: BatchPlan): number => {
  const flowOff = plan.steps.find((s) => s.kind === 'flow-off')?.atS ?? 0
  const end = plan.steps.at(-1)?.atS ?? flowOff
  const steps = plan.steps.filter((s) => s.kind !== 'discarded')
  for (const sample of playScript(scriptOf(plan, steps), { untilS: end, everyS: 2 }))
    if (sample.atS > flowOff && sample.trueMgPerL < (plan.settings.target_mg_l ?? 0)) return sample.atS
  return end
}

const discardLeftOvers = (ledger: Ledger, nowMs: number): void => {
  const at = new Date(nowMs).toISOString()
  for (const opened of ledger.ofKind('batch-opened')) {
    const batch = opened.batch === null ? undefined : foldBatch(ledger.ofBatch(opened.batch))
    if (!batch || batch.discardedAt) continue
    ledger.append({
      id: uuidv7(),
      happened_at: at,
      entered_at: at,
      bench: batch.bench,
      batch: batch.id,
      who: { name: DEMO_OPERATOR, how: 'typed' },
      why: 'left over from an earlier run of the demonstration',
      kind: 'discarded',
      data: {},
    })
  }
}

const writeHandBatch = ({ ledger, zone }: Seeding, nowMs: number): void => {
  const plan: BatchPlan = {
    bench: 'C',
    settings: filteredSettings,
    pour: { temperatureC: 20, lotFactor: 1 },
    seed: 1,
    steps: [],
  }
  const openedMs = nowMs - 20 * 60_000
  const at = (minute: number) => new Date(openedMs + minute * 60_000).toISOString()
  const batch = uuidv7()
  const base = (minute: number) => ({
    id: uuidv7(),
    happened_at: at(minute),
    entered_at: at(minute),
    bench: 'C',
    batch,
    who: { name: DEMO_OPERATOR, how: 'typed' as const },
  })
  const typed = (minute: number, value: number) => ({
    ...base(minute),
    kind: 'reading-by-hand' as const,
    data: { quantity: 'dissolved-ozone' as const, value, u_percent: 8, method: 'test kit, 1 in 10' },
  })
  const number = `C-${new Intl.DateTimeFormat('en-CA', { timeZone: zone }).format(new Date(openedMs))}-${ledger.ofKind('batch-opened').filter((e) => e.bench === 'C').length + 1}`
  ledger.appendAll([
    { ...base(0), kind: 'batch-opened', data: { ...plan.settings, number } },
    { ...base(1), kind: 'ozone-on', data: {} },
    { ...base(13), kind: 'ozone-off', data: {} },
    { ...base(13), kind: 'flow-off', data: {} },
    typed(14, 12.1),
    typed(19, 10.3),
  ])
}

const demoConfig = async (): Promise<string> => {
  const [a, b, controlA, controlB] = await freePorts(4)
  const zone = new Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC'
  const port = (number: number | undefined) => ({
    kind: 'tcp',
    host: '127.0.0.1',
    port: number,
    frame: { delimiter: '\r\n', checksum: 'xor' },
  })
  const instrument = (bench: string) => ({
    id: `meter-${bench.toLowerCase()}`,
    port: `bench-${bench.toLowerCase()}`,
    bench,
    starts_with: 'SPGW',
    field_count: 6,
    channels: [
      { channel: 'dissolved-ozone', field: 2, unit: 'ug/mL', full_scale: 50 },
      { channel: 'fluid-temperature', field: 4, unit: 'C' },
    ],
  })
  const config = {
    site: { name: 'Demonstration clinic (simulated)', zone, simulated: true },
    benches: [
      { id: 'A', name: 'Bench A', simulated: true, control_port: controlA },
      { id: 'B', name: 'Bench B', simulated: true, control_port: controlB },
      { id: 'C', name: 'Bench C (no meter)', simulated: true },
    ],
    ports: { 'bench-a': port(a), 'bench-b': port(b) },
    instruments: [instrument('A'), instrument('B')],
  }
  return `# SIMULATED: the demonstration writes this file anew at each start.\n${stringify(config)}`
}
