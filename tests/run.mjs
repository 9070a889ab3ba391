/**
 * `npm test`: does its own set-up, then runs everything. On Debian as root it installs the system parts that the
 * tests drive (browser, pty pair, time-series database); elsewhere it names what it has to leave out. With
 * `CI=true` leaving anything out is a failure.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { build, install, root } from '../server/launch/set-up.mjs'

const PARTS = [
  { command: 'chromium', packageName: 'chromium', tests: 'browser' },
  { command: 'socat', packageName: 'socat', tests: 'serial' },
  { command: 'influxd', packageName: 'influxdb', tests: 'InfluxDB' },
  { command: 'pdftotext', packageName: 'poppler-utils', tests: 'printed record' },
  { command: 'zbarimg', packageName: 'zbar-tools', tests: 'printed label' },
  { command: 'openssl', packageName: 'openssl', tests: 'TLS to InfluxDB' },
]

const strict = process.env.CI === 'true'
const isThere = (command) =>
  (process.env.PATH ?? '').split(delimiter).some((folder) => existsSync(join(folder, command)))
const missing = () => PARTS.filter(({ command }) => !isThere(command))

install()
if (missing().length > 0 && process.getuid?.() === 0 && isThere('apt-get')) {
  const packages = missing().map((p) => p.packageName)
  process.stderr.write(`spargewatch: installing ${packages.join(', ')} for the tests …\n`)
  spawnSync('apt-get', ['update', '-qq'], { stdio: ['ignore', 2, 2] })
  spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...packages], {
    stdio: ['ignore', 2, 2],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  })
}
const left = missing()
for (const { command, tests } of left)
  process.stderr.write(`spargewatch: ${command} is not installed: the ${tests} tests are left out\n`)
if (strict && left.length > 0) process.exit(1)
build()

const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs')
const folder = mkdtempSync(join(tmpdir(), 'spargewatch-results-'))
const results = join(folder, 'results.json')
const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${results}`]
const done = spawnSync(process.execPath, [vitest, 'run', ...reporters, ...process.argv.slice(2)], {
  cwd: root,
  stdio: 'inherit',
  env: { ...process.env, SPARGEWATCH_LEFT_OUT: left.map((p) => p.tests).join(',') },
})
const { numPassedTests, numFailedTests, numPendingTests, numTodoTests } = JSON.parse(
  readFileSync(results, 'utf8'),
)
rmSync(folder, { recursive: true, force: true })
const skipped = numPendingTests + numTodoTests
console.log(`\n${numPassedTests} passed, ${numFailedTests} failed, ${skipped} skipped`)
if (strict && skipped > 0)
  process.stderr.write('spargewatch: CI leaves nothing out, so a skipped test is a failure\n')
process.exit(done.status !== 0 ? (done.status ?? 1) : strict && skipped > 0 ? 1 : 0)
