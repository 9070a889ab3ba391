import { Command, CommanderError } from 'commander'
import { IngestError } from '../../ingest/errors.ts'
import { messageOf, ServerError } from '../errors.ts'
import { programVersion } from '../home-files.ts'

type Register = (program: Command) => void

/** What adds each command. Loaded when asked for: the parts start sooner and carry nothing they do not use. */
const GROUPS: readonly { readonly commands: readonly string[]; readonly load: () => Promise<Register> }[] = [
  {
    commands: ['start', 'daemon', 'forward', 'mirror', 'serve', 'view', 'scene'],
    load: async () => (await import('./run.ts')).registerRun,
  },
  { commands: ['analyse'], load: async () => (await import('./analyse.ts')).registerAnalyse },
  { commands: ['import'], load: async () => (await import('./import.ts')).registerImport },
  { commands: ['export'], load: async () => (await import('./export.ts')).registerExport },
  { commands: ['people'], load: async () => (await import('./people.ts')).registerPeople },
  { commands: ['trial'], load: async () => (await import('./trial.ts')).registerTrial },
  { commands: ['ports'], load: async () => (await import('./ports.ts')).registerPorts },
  { commands: ['ledger'], load: async () => (await import('./ledger.ts')).registerLedger },
  { commands: ['backup', 'restore'], load: async () => (await import('./backup.ts')).registerBackup },
  { commands: ['store'], load: async () => (await import('./store.ts')).registerStore },
  { commands: ['store'], load: async () => (await import('./store-size.ts')).registerStoreSize },
  { commands: ['deliver'], load: async () => (await import('./deliver.ts')).registerDeliver },
  { commands: ['simulate'], load: async () => (await import('./simulate.ts')).registerSimulate },
]

/** The `spargewatch` command. Expected failures are one line on standard error and exit code 2. */
export const runCli = async (args: readonly string[]): Promise<void> => {
  const program = new Command('spargewatch')
    .description(
      'Live potency of ozone-treated fluid at the bench. Monitors and records only: not a medical device.',
    )
    .version(programVersion())
    .exitOverride()
    .configureOutput({ outputError: (text, write) => write(text.replace(/^error: /, 'spargewatch: ')) })
  const asked = GROUPS.filter(({ commands }) => commands.includes(args[0] ?? ''))
  for (const { load } of asked.length > 0 ? asked : GROUPS) (await load())(program)
  try {
    await program.parseAsync(args, { from: 'user' })
  } catch (error) {
    process.exitCode = exitCodeOf(error)
    if (error instanceof CommanderError || systemCodeOf(error) === 'EPIPE') return
    process.stderr.write(`spargewatch: ${explain(error)}\n`)
  }
}

const exitCodeOf = (error: unknown): number => {
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2
  if (systemCodeOf(error) === 'EPIPE') return 0
  const isExpected =
    error instanceof IngestError || error instanceof ServerError || systemCodeOf(error) !== null
  return isExpected ? 2 : 1
}

/** A file that is not there, a folder that may not be written, a reader that had enough: not a fault of the program. */
const systemCodeOf = (error: unknown): string | null =>
  error instanceof Error && 'syscall' in error && 'code' in error ? String(error.code) : null

const explain = (error: unknown): string => {
  if (error instanceof ServerError) return error.fix ? `${error.message}: ${error.fix}` : error.message
  if (error instanceof IngestError || systemCodeOf(error) !== null) return messageOf(error)
  return error instanceof Error ? (error.stack ?? error.message) : String(error)
}
