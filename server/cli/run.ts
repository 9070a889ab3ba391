import { existsSync, mkdirSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { type Command, Option } from 'commander'
import { configFile, readIngestConfig } from '../../ingest/config.ts'
import { readDeliverySecrets } from '../../ingest/delivery-secrets.ts'
import { readInfluxSecrets } from '../../ingest/influx-secrets.ts'
import { claimHome, readingsFile } from '../../ingest/store/home.ts'
import { readServerConfig, readSurroundings, type Surroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { ledgerFile } from '../home-files.ts'
import { isSetUpIn } from '../people/people-file.ts'
import { checkReach, checkStaysHere } from '../people/reach.ts'
import { demoHome } from '../seed/demo-home.ts'
import { freePorts } from '../seed/free-ports.ts'
import { type Part, supervise } from '../supervisor.ts'
import { deliverySetUp } from './delivery-set-up.ts'
import { onParentGone } from './parent-gone.ts'

/** Each part loads only what it runs: the daemon carries no server in its memory. */
export const registerRun = (program: Command): void => {
  program
    .command('start')
    .description('run everything: logging and screens; a demonstration when nothing is configured')
    .action(start)
  program
    .command('daemon')
    .description('run the logging daemon alone')
    .action(async () => {
      const { runDaemon } = await import('../../ingest/main.ts')
      runDaemon(realOrGivenHome())
    })
  program
    .command('forward')
    .description('send readings on to InfluxDB, alone')
    .addOption(new Option('--wait-scale <factor>', 'shortens waiting, for tests').default('1').hideHelp())
    .action(async ({ waitScale }: { readonly waitScale: string }) => {
      const { runForwarder } = await import('../../ingest/forward/main.ts')
      await runForwarder(realOrGivenHome(), Number(waitScale))
    })
  program
    .command('mirror')
    .description('send the record on to InfluxDB, alone')
    .addOption(new Option('--wait-scale <factor>', 'shortens waiting, for tests').default('1').hideHelp())
    .action(async ({ waitScale }: { readonly waitScale: string }) => {
      const { startMirror } = await import('./mirror.ts')
      await startMirror(realOrGivenHome(), Number(waitScale))
    })
  program
    .command('serve')
    .description('run the server alone')
    .addOption(new Option('--demo-of <home>', 'the home beside the demonstration').hideHelp())
    .addOption(new Option('--wait-scale <factor>', 'shortens waiting, for tests').default('1').hideHelp())
    .action(async ({ demoOf, waitScale }: { readonly demoOf?: string; readonly waitScale: string }) => {
      const { runServer } = await import('../main.ts')
      const home = realOrGivenHome()
      const delivery = deliverySetUp(home, Number(waitScale))
      await runServer({ ...readSurroundings(), home }, demoOf ?? null, delivery)
    })
  program
    .command('view')
    .description('show what InfluxDB knows, read only and delayed, on a machine without the local files')
    .action(async () => {
      const { startViewer } = await import('./view.ts')
      const surroundings = readSurroundings()
      checkStaysHere(surroundings.host, 'a viewer')
      await startViewer(surroundings)
    })
  program.command('scene', { hidden: true }).action(async () => {
    const { runScene } = await import('../seed/run-scene.ts')
    await runScene(readSurroundings())
  })
}

const realOrGivenHome = (): string => readSurroundings().home

const start = async (): Promise<void> => {
  const surroundings = readSurroundings()
  const demo = wantsDemo(surroundings.home)
  if (demo) checkStaysHere(surroundings.host, 'the demonstration')
  const home = demo ? demoHome(surroundings.home) : surroundings.home
  mkdirSync(home, { recursive: true, mode: 0o700 })
  const release = claimHome(home, 'supervisor')
  if (demo) {
    const { prepareDemo } = await import('../seed/prepare-demo.ts')
    await prepareDemo(home)
  }
  const sidelines = checkConfig(home, demo ? null : surroundings.host)
  // every part needs to know the port, so a free one is chosen here
  const port = surroundings.port === 0 ? (await freePorts(1))[0] : surroundings.port
  const { stopped, stop } = supervise({
    parts: partsOf(demo ? surroundings.home : null, sidelines),
    env: { ...process.env, SPARGEWATCH_HOME: home, HOST: surroundings.host, PORT: String(port) },
    onStarted: (part, message) => {
      if (part === 'server') announce(String(message['address']), demo, surroundings)
    },
    onNote: (text) => process.stderr.write(`spargewatch: ${text}\n`),
  })
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, stop)
  const unwatch = onParentGone(stop)
  process.exitCode = await stopped
  unwatch()
  release()
}

/** Only with no config and no real data: a real database without a readable config is an error, never a demo. */
const wantsDemo = (home: string): boolean => {
  if (existsSync(configFile(home))) return false
  const real = [readingsFile(home), ledgerFile(home)].find((file) => existsSync(file))
  if (real)
    throw new ServerError('config-invalid', `${real} holds real data but ${configFile(home)} is missing`, {
      fix: 'restore the config from a back-up, or set SPARGEWATCH_HOME to another folder',
    })
  return true
}

interface Sidelines {
  readonly forwards: boolean
  readonly mirrors: boolean
}

/** Faults of the config are told here, once, before any part starts. Says what is to be sent on to another place. */
const checkConfig = (home: string, host: string | null): Sidelines => {
  const { influx, influxRecord, delivery } = readIngestConfig(home)
  if (influx !== null) readInfluxSecrets(influx)
  if (delivery !== null) readDeliverySecrets(delivery)
  const { web, simulated } = readServerConfig(home)
  if (host !== null) checkReach(host, web, () => isSetUpIn(home, simulated ? 'simulated' : 'real'))
  return { forwards: influx !== null, mirrors: influxRecord !== null }
}

const partsOf = (demoOf: string | null, { forwards, mirrors }: Sidelines): Part[] => {
  const module = fileURLToPath(new URL('./part.js', import.meta.url))
  const part = (name: string, ...args: string[]): Part => ({ name, module, args })
  return [
    part('daemon', 'daemon'),
    part('server', 'serve', ...(demoOf === null ? [] : ['--demo-of', demoOf])),
    ...(forwards ? [{ ...part('forwarder', 'forward'), isSideline: true }] : []),
    ...(mirrors ? [{ ...part('mirror', 'mirror'), isSideline: true }] : []),
    ...(demoOf === null ? [] : [part('scene', 'scene')]),
  ]
}

const announce = (address: string, demo: boolean, { home }: Surroundings): void => {
  const lines = demo
    ? [
        '',
        `  Spargewatch demonstration (simulated): ${address}`,
        `  To connect a real meter: Instruments, Set up a meter; it writes ${configFile(home)}. Then start again.`,
        '',
      ]
    : ['', `  Spargewatch: ${address}`, '']
  process.stderr.write(`${lines.join('\n')}\n`)
}
