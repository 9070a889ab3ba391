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

const runTests = (name, args) => {
  const results = join(folder, `${name}.json`)
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${results}`]
  const done = spawnSync(process.execPath, [vitest, 'run', ...reporters, ...args], {
    cwd: root,
    stdio: 'inherit',
    env: { ...process.env, SPARGEWATCH_LEFT_OUT: left.map((p) => p.tests).join(',') },
  })
  return { status: done.status ?? 1, ...JSON.parse(readFileSync(results, 'utf8')) }
}
const failedFiles = ({ testResults }) => testResults.filter((t) => t.status === 'failed').map((t) => t.name)
const failedTests = ({ testResults }) =>
  testResults.flatMap((t) => t.assertionResults.filter((a) => a.status === 'failed').map((a) => a.fullName))

/** Real processes, cables and browsers beside each other: what failed among them is asked once more by itself, and named. */
const MOST_AGAIN = 3

const first = runTests('first', process.argv.slice(2))
let { status } = first
const files = failedFiles(first)
if (status !== 0 && files.length > 0 && files.length <= MOST_AGAIN) {
  process.stderr.write(
    `\nspargewatch: ${files.length} of the test files failed; each is run again by itself …\n`,
  )
  status = runTests('again', files).status
  if (status === 0)
    for (const name of failedTests(first)) console.log(`\nFAILED AT FIRST, PASSED BY ITSELF: ${name}`)
}
rmSync(folder, { recursive: true, force: true })
const skipped = first.numPendingTests + first.numTodoTests
console.log(`\n${first.numPassedTests} passed, ${first.numFailedTests} failed at first, ${skipped} skipped`)
if (strict && skipped > 0)
  process.stderr.write('spargewatch: CI leaves nothing out, so a skipped test is a failure\n')
process.exit(status !== 0 ? status : strict && skipped > 0 ? 1 : 0)
