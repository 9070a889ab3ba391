import { afterEach, describe, expect, it } from 'vitest'
import { startControlPort } from '../../../ingest/bench-simulator/control-port.ts'
import { connected, filledBench } from './loopback.ts'

const open: { close(): Promise<void> }[] = []
afterEach(async () => {
  await Promise.all(open.splice(0).map((server) => server.close()))
})

const controlled = async () => {
  const { clock, bench } = filledBench()
  const server = await startControlPort({ host: '127.0.0.1', port: 0, bench })
  open.push(server)
  return { clock, bench, client: await connected(server.port) }
}

describe('control port', () => {
  it('does what it is told and says so', async () => {
    const { clock, bench, client } = await controlled()
    client.socket.write('{"do":"draw","ml":50}\n')
    expect(await client.lines(1)).toEqual(['{"ok":true}'])
    clock.pass(1000)
    expect(bench.latest()?.volumeMl).toBe(200)
  })

  it('takes several lines in one chunk and one line in several chunks', async () => {
    const { client } = await controlled()
    client.socket.write('{"do":"probe-out"}\n{"do":"probe-in"}\n\n{"do":"dra')
    expect(await client.lines(2)).toEqual(['{"ok":true}', '{"ok":true}'])
    client.socket.write('w","ml":50}\r\n')
    expect((await client.lines(3))[2]).toBe('{"ok":true}')
  })

  it('says why it refuses, and stays', async () => {
    const { client } = await controlled()
    client.socket.write('{"do":"flow-off"}\n{"do":"draw","ml":"much"}\n{"do":"draw","ml":1}\n')
    expect(await client.lines(3)).toEqual([
      '{"ok":false,"why":"no gas flows"}',
      '{"ok":false,"why":"action.ml needs a number of mL from 0.01 to 5000, got \\"much\\""}',
      '{"ok":true}',
    ])
  })

  it('reports the latest sample with its truth', async () => {
    const { client } = await controlled()
    client.socket.write('{"do":"report"}\n')
    const answer = JSON.parse((await client.lines(1))[0] ?? '')
    expect(answer).toMatchObject({ ok: true, sample: { atS: 0, trueMgPerL: 20, volumeMl: 250 } })
  })

  it('hangs up on another language before a later line can act', async () => {
    const { bench, clock, client } = await controlled()
    client.socket.write('POST / HTTP/1.1\r\nHost: x\r\n\r\n{"do":"draw","ml":50}\n')
    expect(await client.ended()).toBe(
      '{"ok":false,"why":"a line of JSON of at most 4096 characters is needed"}\n',
    )
    clock.pass(1000)
    expect(bench.latest()?.volumeMl).toBe(250)
  })

  it('hangs up on a line without end', async () => {
    const { client } = await controlled()
    client.socket.write('['.repeat(5000))
    expect(await client.ended()).toContain('at most 4096 characters')
  })
})
