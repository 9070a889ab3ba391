import { readdirSync, readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { gzipSync } from 'node:zlib'
import { launch } from '../browser/browser.ts'
import { meterLine, startMeter } from '../support/meter.ts'
import { startProgram } from './program.ts'
import { median, type Row } from './row.ts'

/** First view of the benches with a cold cache; peer: the same browser opening an empty page of the same server. */
export const benchFirstView = async (): Promise<Row[]> => {
  const assets = resolve(import.meta.dirname, '../../web/assets')
  const scripts = readdirSync(assets).filter((f) => f.endsWith('.js'))
  const gzipped = scripts.reduce((sum, f) => sum + gzipSync(readFileSync(join(assets, f))).length, 0)
  const meter = await startMeter()
  const program = await startProgram([meter])
  const timer = setInterval(() => meter.send(meterLine(1, 18.2, 20)), 1000)
  const browser = await launch()
  const open = async (path: string, seen: string): Promise<number> => {
    const context = await browser.newContext()
    const page = await context.newPage()
    const start = performance.now()
    await page.goto(program.address + path)
    await page.waitForSelector(seen)
    const took = performance.now() - start
    await context.close()
    return took
  }
  await open('/', 'main')
  const ours = await repeated(() => open('/', 'main article, main section, main li'))
  const peer = await repeated(() => open('/api/site', 'body'))
  await browser.close()
  clearInterval(timer)
  program.stop()
  await meter.close()
  return [
    {
      what: 'first view of the benches, cold cache',
      ours: `${ours.toFixed(0)} ms`,
      peer: `${peer.toFixed(0)} ms a small JSON answer`,
      ratio: ours / peer,
      budget: '≤ 1,000 ms',
    },
    {
      what: 'script, gzipped',
      ours: `${(gzipped / 1024).toFixed(0)} KB`,
      peer: '',
      ratio: null,
      budget: '≤ 200 KB',
    },
  ]
}

const repeated = async (work: () => Promise<number>): Promise<number> => {
  const times: number[] = []
  for (let i = 0; i < 5; i++) times.push(await work())
  return median(times)
}
