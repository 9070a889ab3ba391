import { runCli } from './main.ts'

/** Entry of a supervised part. */
await runCli(process.argv.slice(2))
// a part that failed to start must end, although its IPC channel would keep it alive
if (process.exitCode) process.exit()
