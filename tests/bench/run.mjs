/**
 * `npm run bench [part …]`: builds, then measures speed and memory as ratios against a peer in the same run.
 * The table is for people; only a reading that is missing or not the same fails (exit code 1).
 */
import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { build, install, root } from '../../server/launch/set-up.mjs'

install()
build()
const run = (script, args) => {
  const done = spawnSync(process.execPath, [join(root, script), ...args], { cwd: root, stdio: 'inherit' })
  if (done.status !== 0) process.exit(done.status ?? 1)
}
run('node_modules/typescript/bin/tsc', ['-p', 'tests/bench/tsconfig.json'])
run('dist/tests/bench/main.js', process.argv.slice(2))
