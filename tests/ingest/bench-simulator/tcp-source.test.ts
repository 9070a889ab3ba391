import { once } from 'node:events'
import { connect } from 'node:net'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { startTcpBench, type TcpBench } from '../../../ingest/bench-simulator/tcp-source.ts'
import { connected, filledBench } from './loopback.ts'

/** Some 40 KB, less than what a client may lag. */
const LINES_A_ROUND = 1000

const open: { close(): Promise<void> }[] = []
afterEach(async () => {
  await Promise.all(open.splice(0).map((server) => server.close()))
})

const serving = async () => {
  const { clock, bench } = filledBench()
  const server = await startTcpBench({ host: '127.0.0.1', port: 0, bench })
  open.push(server)
  return { clock, bench, server }
}

/** The server learns of a connection, and of its end, a moment after the client does. */
const knowsOf = (server: TcpBench, clients: number) =>
  vi.waitFor(() => expect(server.clients()).toBe(clients), { timeout: 10_000, interval: 5 })

describe('a meter behind a network serial server', () => {
  it('gives each client the same lines, from its connection on', async () => {
    const { clock, server } = await serving()
    clock.pass(5000)
    const first = await connected(server.port)
    await knowsOf(server, 1)
    clock.pass(2000)
    const second = await connected(server.port)
    await knowsOf(server, 2)
    clock.pass(1000)
    const sequences = (lines: string[]) => lines.map((line) => line.slice(6, 12))
    expect(sequences(await first.lines(3))).toEqual(['000006', '000007', '000008'])
    expect(await second.lines(1)).toEqual((await first.lines(3)).slice(2))
    expect((await first.lines(1))[0]).toMatch(/^\$SPGW,000006,\d+\.\d\d,ugml,\d+\.\d\d,C\*[0-9A-F]{2}\r$/)
  })

  it('takes no notice of what a client sends', async () => {
    const { clock, server } = await serving()
    const client = await connected(server.port)
    client.socket.write('x'.repeat(1_000_000))
    await knowsOf(server, 1)
    clock.pass(1000)
    expect(await client.lines(1)).toHaveLength(1)
  })

  it('goes on when a client breaks off', async () => {
    const { clock, server } = await serving()
    const [gone, stays] = [await connected(server.port), await connected(server.port)]
    await knowsOf(server, 2)
    gone.socket.resetAndDestroy()
    await knowsOf(server, 1)
    clock.pass(3000)
    expect(await stays.lines(3)).toHaveLength(3)
    expect(server.dropped()).toBe(0)
  })

  it('cuts off a client that does not read, with little memory used, and serves the others', async () => {
    const { clock, server } = await serving()
    const sleeper = connect({ host: '127.0.0.1', port: server.port })
    sleeper.on('error', () => {})
    await once(sleeper, 'connect')
    const reader = await connected(server.port)
    await knowsOf(server, 2)
    // The kernel's own buffers take some megabytes first.
    let lines = 0
    for (let round = 0; round < 1000 && server.dropped() === 0; round++) {
      clock.pass(LINES_A_ROUND * 1000)
      lines += LINES_A_ROUND
      await reader.lines(lines)
    }
    expect(server.dropped()).toBe(1)
    clock.pass(1000)
    expect(await reader.lines(lines + 1)).toHaveLength(lines + 1)
    sleeper.destroy()
  })

  it('says which port is taken', async () => {
    const { bench, server } = await serving()
    await expect(startTcpBench({ host: '127.0.0.1', port: server.port, bench })).rejects.toThrow(
      `cannot listen on 127.0.0.1:${server.port}: listen EADDRINUSE`,
    )
  })
})
