import { type ChildProcess, execFileSync, fork, spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { connected } from './loopback.ts'
import { fill } from './quiet-bench.ts'

const root = join(import.meta.dirname, '../../..')
/** Inside the package, so that the built program finds its dependencies; a folder that version control ignores. */
const cache = join(root, 'node_modules/.cache')
let built = ''
const children: ChildProcess[] = []

beforeAll(() => {
  mkdirSync(cache, { recursive: true })
  built = mkdtempSync(join(cache, 'bench-simulator-'))
  execFileSync(process.execPath, [join(root, 'node_modules/typescript/bin/tsc'), '-p', tsconfigFor(built)])
}, 60_000)

afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL')
})
afterAll(() => rmSync(built, { recursive: true, force: true }))

const tsconfigFor = (folder: string): string => {
  const path = join(folder, 'tsconfig.json')
  const compilerOptions = {
    noEmit: false,
    outDir: folder,
    rootDir: root,
    types: ['node'],
    typeRoots: [join(root, 'node_modules/@types')],
  }
  const files = [join(root, 'ingest/bench-simulator/main.ts')]
  writeFileSync(
    path,
    JSON.stringify({ extends: join(root, 'tsconfig.json'), compilerOptions, files, include: [] }),
  )
  return path
}

const program = () => join(built, 'ingest/bench-simulator/main.js')

const configFile = (config: unknown): string => {
  const path = join(built, 'config.json')
  writeFileSync(path, JSON.stringify(config))
  return path
}

const twoBenches = {
  benches: ['a', 'b'].map((id, seed) => ({
    id,
    script: { seed, events: [{ atS: 0, action: fill({ dissolvedMgPerL: 20 }) }] },
    intervalS: 0.05,
    tcpPort: 0,
    controlPort: 0,
  })),
}

const started = (config: unknown) => {
  const child = spawn(process.execPath, [program(), '--config', configFile(config)], { stdio: 'pipe' })
  children.push(child)
  return child
}

interface Listening {
  readonly id: string
  readonly tcpPort: number
  readonly controlPort: number
}

const listeningOf = async (child: ChildProcess): Promise<Listening[]> => {
  if (child.stdout === null) throw new Error('the program needs a piped stdout')
  const [line] = await once(createInterface({ input: child.stdout }), 'line')
  return JSON.parse(line).listening
}

describe('the bench simulator as a program', () => {
  it('starts all benches, says where they listen, serves lines and takes actions', async () => {
    const [a, b] = await listeningOf(started(twoBenches))
    expect([a?.id, b?.id]).toEqual(['a', 'b'])
    const lines = await (await connected(a?.tcpPort ?? 0)).lines(3)
    expect(lines.join('\n')).toMatch(/^(\$SPGW,\d{6},\d+\.\d\d,ugml,\d+\.\d\d,C\*[0-9A-F]{2}\r\n?){3}$/)
    const control = await connected(b?.controlPort ?? 0)
    control.socket.write('{"do":"draw","ml":100}\n')
    expect(await control.lines(1)).toEqual(['{"ok":true}'])
  })

  it('ends when its stdin closes', async () => {
    const child = started(twoBenches)
    await listeningOf(child)
    child.stdin?.end()
    expect(await once(child, 'exit')).toEqual([0, null])
  })

  it('ends when its parent breaks off the channel', async () => {
    const child = fork(program(), ['--config', configFile(twoBenches)], { silent: true, execArgv: [] })
    children.push(child)
    await listeningOf(child)
    child.disconnect()
    expect(await once(child, 'exit')).toEqual([0, null])
  })

  it.each(['SIGTERM', 'SIGINT'] as const)('ends on %s', async (signal) => {
    const child = started(twoBenches)
    await listeningOf(child)
    child.kill(signal)
    expect(await once(child, 'exit')).toEqual([0, null])
  })

  it('names the faults of its configuration and gives up', async () => {
    const child = started({ benches: [{ ...twoBenches.benches[0], tcpPort: -1, speed: 0 }] })
    const faults: string[] = []
    createInterface({ input: child.stderr }).on('line', (line) => faults.push(line))
    expect(await once(child, 'close')).toEqual([2, null])
    expect(faults).toEqual([
      'bench simulator: config.benches[0].speed needs a number from 0.01 to 10000, got 0',
      'bench simulator: config.benches[0].tcpPort needs a whole number from 0 to 65535, got -1',
    ])
  })
})
