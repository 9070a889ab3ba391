#!/usr/bin/env node
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { build, install, root } from './set-up.mjs'

if (!existsSync(join(root, 'dist', 'server', 'cli', 'main.js'))) {
  install()
  build()
}
const { runCli } = await import('../../dist/server/cli/main.js')
await runCli(process.argv.slice(2))
