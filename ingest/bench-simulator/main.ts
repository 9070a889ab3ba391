import { readFile } from 'node:fs/promises'
import { parseArgs } from 'node:util'
import { readConfig } from './main-config.ts'
import { SimulatorError } from './simulator-error.ts'
import { startBenches } from './start-benches.ts'

/**
 * `node main.js --config FILE.json`: runs benches until SIGTERM or SIGINT, or until whoever started it goes away (the
 * IPC channel closes, or without one, stdin does). Prints one JSON line when all ports are open. Faults: exit code 2.
 */
const run = async (): Promise<void> => {
  // Listened for before anybody can know that the program is up: a signal on the heels of the printed line must end it.
  const end = toldToEnd()
  const benches = await startBenches(readConfig(await configFromFile(), Date.now()), (id, why) => {
    process.stderr.write(`${JSON.stringify({ lost: id, why })}\n`)
  })
  process.stdout.write(`${JSON.stringify({ listening: benches.listening })}\n`)
  await end
  await benches.close()
}

const configFromFile = async (): Promise<unknown> => {
  const { config } = parseArgs({ options: { config: { type: 'string' } } }).values
  if (config === undefined) throw new SimulatorError('bad-input', ['--config FILE.json is needed'])
  try {
    return JSON.parse(await readFile(config, 'utf8'))
  } catch (cause) {
    throw new SimulatorError(
      'bad-input',
      [`${config} needs to be a readable file of JSON: ${messageOf(cause)}`],
      {
        cause,
      },
    )
  }
}

const toldToEnd = (): Promise<void> =>
  new Promise((resolve) => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => resolve())
    if (process.channel) {
      process.once('disconnect', () => resolve())
      return
    }
    for (const event of ['end', 'close', 'error']) process.stdin.once(event, () => resolve())
    process.stdin.resume()
  })

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))

try {
  await run()
  process.exit(0)
} catch (error) {
  const faults = error instanceof SimulatorError ? error.faults : [messageOf(error)]
  for (const fault of faults) process.stderr.write(`bench simulator: ${fault}\n`)
  process.exit(2)
}
