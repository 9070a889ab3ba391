import { type ChildProcess, spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import type { Row } from './row.ts'

const root = resolve(import.meta.dirname, '../../..')

/** From the command to the printed address, on a home that is there already; peer: starting Node to do nothing. */
export const benchStart = async (): Promise<Row[]> => {
  const home = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const first = await startOnce(home)
  const second = await startOnce(home)
  const nothing = await nodeMs()
  rmSync(home, { recursive: true, force: true })
  const row = (what: string, ms: number, budget: string): Row => ({
    what,
    ours: `${(ms / 1000).toFixed(1)} s`,
    peer: `${nothing.toFixed(0)} ms node doing nothing`,
    ratio: ms / nothing,
    budget,
  })
  return [
    row('first start of the demonstration, installed and built', first, ''),
    row('second start', second, '≤ 5 s'),
  ]
}

const startOnce = (home: string): Promise<number> =>
  new Promise((done, failed) => {
    const start = performance.now()
    const child: ChildProcess = spawn(process.execPath, [join(root, 'server/launch/start.mjs')], {
      cwd: root,
      env: { ...process.env, SPARGEWATCH_HOME: home, PORT: '0' },
      stdio: ['ignore', 'ignore', 'pipe'],
    })
    let took: number | undefined
    child.stderr?.on('data', (chunk: Buffer) => {
      if (took !== undefined || !chunk.toString().includes('http://127.0.0.1')) return
      took = performance.now() - start
      child.kill('SIGTERM')
    })
    child.once('exit', (code) =>
      took === undefined ? failed(new Error(`start ended with ${code}`)) : done(took),
    )
  })

const nodeMs = (): Promise<number> =>
  new Promise((done) => {
    const start = performance.now()
    spawn(process.execPath, ['-e', '']).once('exit', () => done(performance.now() - start))
  })
