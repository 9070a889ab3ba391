import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { createReadStream, existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { describe, expect, it } from 'vitest'
import { startPtyBench } from '../../../ingest/bench-simulator/serial-source.ts'
import { filledBench } from './loopback.ts'

/** Pseudo-terminal pairs by socat; only Linux has been tried. */
const canPair = process.platform === 'linux' && existsSync('/usr/bin/socat')

describe.skipIf(!canPair)('a meter on a serial cable', () => {
  it('writes the same lines to the device, and says when the cable is pulled', async () => {
    const cable = await cablePair()
    const { clock, bench } = filledBench()
    const losses: string[] = []
    let lost = () => {}
    const gone = new Promise<void>((resolve) => {
      lost = resolve
    })
    const onLost = (why: string) => {
      losses.push(why)
      lost()
    }
    const port = await startPtyBench({ path: cable.meterEnd, bench, onLost })
    const lines = createInterface({ input: createReadStream(cable.daemonEnd) })[Symbol.asyncIterator]()
    clock.pass(1000)
    expect((await lines.next()).value).toMatch(/^\$SPGW,000001,\d+\.\d\d,ugml,\d+\.\d\d,C\*[0-9A-F]{2}$/)
    clock.pass(1000)
    expect((await lines.next()).value).toContain('SPGW,000002,')
    expect(port.lostLines()).toBe(0)
    await cable.pull()
    await gone
    expect(losses).not.toEqual([])
    clock.pass(1000)
    await port.close()
  })

  it('says which device cannot be opened', async () => {
    const { bench } = filledBench()
    await expect(startPtyBench({ path: '/dev/no-such-port', bench })).rejects.toThrow(
      'cannot open /dev/no-such-port',
    )
  })
})

const cablePair = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'cable-'))
  const [meterEnd, daemonEnd] = [join(folder, 'meter'), join(folder, 'daemon')]
  const socat = spawn('/usr/bin/socat', [
    `pty,raw,echo=0,link=${meterEnd}`,
    `pty,raw,echo=0,link=${daemonEnd}`,
  ])
  while (!existsSync(meterEnd) || !existsSync(daemonEnd))
    await new Promise((resolve) => setTimeout(resolve, 10))
  const pull = async () => {
    socat.kill()
    await once(socat, 'exit')
    rmSync(folder, { recursive: true, force: true })
  }
  return { meterEnd, daemonEnd, pull }
}
