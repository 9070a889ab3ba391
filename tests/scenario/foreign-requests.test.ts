import { io } from 'socket.io-client'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { Problem, Site } from '../../server/wire.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, runPart } from '../support/program.ts'
import { rawRequest } from '../support/raw-http.ts'

afterEach(endAll)

const serve = async (): Promise<string> => {
  const home = makeHome(wiring({ port: tcpPort(9) }))
  return (await runPart(['serve'], { home }).started()).address
}

/** What became of a handshake: the site it was told of, or the reason it was turned away. */
const handshake = (
  address: string,
  headers: Record<string, string>,
  transports: ('polling' | 'websocket')[],
) => {
  const socket = io(address, { extraHeaders: headers, transports, reconnection: false })
  onTestFinished(() => void socket.close())
  return new Promise<string>((resolve) => {
    socket.once('site', (site: Site) => resolve(`welcome to ${site.name}`))
    socket.once('connect_error', () => resolve('turned away'))
  })
}

describe('a page that is not our own', () => {
  it('is refused by its Host and by its Origin, on every address', async () => {
    const address = await serve()
    const { host } = new URL(address)
    const refused: Record<string, string>[] = [
      { host: 'evil.example' },
      { host: `evil.example:${new URL(address).port}` },
      { host: '127.0.0.1.evil.example' },
      { host: '192.0.2.7' },
      { host, origin: 'http://evil.example' },
      { host, origin: 'null' },
      { host, origin: 'http://localhost:1' },
      { host, origin: 'file://' },
    ]
    for (const headers of refused)
      for (const path of ['/api/health', '/', '/api/openapi.json']) {
        const answer = await rawRequest(address, path, { headers })
        expect(answer.status, JSON.stringify(headers)).toBe(403)
        expect((JSON.parse(answer.text) as Problem).detail).toMatch(/Host|Origin/)
        expect(answer.text).not.toContain('Test clinic')
      }
    for (const headers of [
      { host },
      { host, origin: address },
      { host: host.replace('127.0.0.1', 'localhost') },
    ])
      expect((await rawRequest(address, '/api/health', { headers })).status).toBe(200)
  })

  it('cannot post either', async () => {
    const address = await serve()
    const headers = {
      host: new URL(address).host,
      origin: 'http://evil.example',
      'content-type': 'text/plain',
    }
    const answer = await rawRequest(address, '/api/calibrations', { method: 'POST', headers, body: '{}' })
    expect(answer.status).toBe(403)
  })

  it('cannot begin a live channel under another name of this machine', async () => {
    const address = await serve()
    const path = '/socket.io/?EIO=4&transport=polling'
    const foreign = await rawRequest(address, path, { headers: { host: 'evil.example' } })
    expect(foreign.status).toBe(403)
    expect(foreign.text).not.toContain('"sid"')
    expect((await rawRequest(address, path)).text).toContain('"sid"')
  })

  it.each(['polling', 'websocket'] as const)(
    'is turned away by the live channel over %s',
    async (transport) => {
      const address = await serve()
      expect(await handshake(address, { origin: 'http://evil.example' }, [transport])).toBe('turned away')
      if (transport === 'websocket')
        expect(await handshake(address, { host: 'evil.example' }, [transport])).toBe('turned away')
      expect(await handshake(address, { origin: address }, [transport])).toBe('welcome to Test clinic')
      expect(await handshake(address, {}, [transport])).toBe('welcome to Test clinic')
    },
  )
})
