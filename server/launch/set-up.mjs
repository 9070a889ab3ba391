/**
 * Set-up without any dependency: installs what is missing and builds what has changed, then gets out of the way.
 * Runs before `node_modules` exists, so it uses nothing but Node itself.
 */
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

export const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..')
const LEAST_NODE = 20

const hashOf = (parts) => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part).update('\0')
  return hash.digest('hex')
}

const same = (stampFile, value) => existsSync(stampFile) && readFileSync(stampFile, 'utf8') === value

const say = (text) => process.stderr.write(`spargewatch: ${text}\n`)

const fail = (text) => {
  say(text)
  process.exit(1)
}

/** Native modules find Node's own headers where the installation carries them; else npm fetches what it needs. */
const buildEnvironment = () => {
  const prefix = resolve(dirname(process.execPath), '..')
  const hasHeaders = existsSync(join(prefix, 'include', 'node', 'node.h'))
  return hasHeaders && process.env.npm_config_nodedir === undefined
    ? { ...process.env, npm_config_nodedir: prefix }
    : process.env
}

/** `npm ci`, only when the lock file, Node's binary interface or the platform differ from the last time. */
export const install = () => {
  if (Number(process.versions.node.split('.')[0]) < LEAST_NODE)
    fail(`needs Node.js ${LEAST_NODE} or newer, this is ${process.versions.node}`)
  const stampFile = join(root, 'node_modules', '.spargewatch-stamp')
  const stamp = hashOf([
    readFileSync(join(root, 'package-lock.json')),
    process.versions.modules,
    process.platform,
    process.arch,
  ])
  if (same(stampFile, stamp)) return
  say(
    'installing the packages it is built from (once; where native modules must be compiled this takes a minute or two) …',
  )
  const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm'
  const done = spawnSync(npm, ['ci', '--include=dev', '--no-progress', '--loglevel=error'], {
    cwd: root,
    stdio: ['ignore', 2, 2],
    env: buildEnvironment(),
    shell: process.platform === 'win32',
  })
  if (done.status !== 0)
    fail(`npm ci failed (${done.error?.message ?? `code ${done.status}`}); its messages above say why`)
  writeFileSync(stampFile, stamp)
}

const SOURCES = [
  'ingest',
  'server',
  'web',
  'package-lock.json',
  'tsconfig.json',
  'tsconfig.build.json',
  'vite.config.ts',
]

const filesBelow = (path) => {
  if (!statSync(path).isDirectory()) return [path]
  return readdirSync(path)
    .sort()
    .flatMap((name) => filesBelow(join(path, name)))
}

/** Compiles ingest and server and bundles the screens into `dist/`, only when a source differs from the last time. */
export const build = () => {
  const stampFile = join(root, 'dist', '.spargewatch-stamp')
  const files = SOURCES.flatMap((name) => filesBelow(join(root, name)))
  const stamp = hashOf(files.flatMap((file) => [file.slice(root.length), readFileSync(file)]))
  if (same(stampFile, stamp)) return
  say('building …')
  run(join('node_modules', 'typescript', 'bin', 'tsc'), ['-p', 'tsconfig.build.json'])
  run(join('node_modules', 'vite', 'bin', 'vite.js'), ['build', '--logLevel', 'warn'])
  mkdirSync(join(root, 'dist'), { recursive: true })
  writeFileSync(stampFile, stamp)
}

const run = (script, args) => {
  const done = spawnSync(process.execPath, [join(root, script), ...args], {
    cwd: root,
    stdio: ['ignore', 2, 2],
  })
  if (done.status !== 0)
    fail(`${script} failed (${done.error?.message ?? `code ${done.status}`}); its messages above say why`)
}
