import { build, install } from './set-up.mjs'

install()
build()
const { runCli } = await import('../../dist/server/cli/main.js')
await runCli(['start', ...process.argv.slice(2)])
