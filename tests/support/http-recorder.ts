import { createServer, type IncomingHttpHeaders, type ServerResponse } from 'node:http'
import { gunzipSync } from 'node:zlib'
import { onTestFinished } from 'vitest'

export interface Recorded {
  readonly method: string
  readonly path: string
  readonly query: Readonly<Record<string, string>>
  readonly headers: IncomingHttpHeaders
  readonly body: string
  /** When it had arrived, by the wall clock. */
  readonly atMs: number
}

export interface Answer {
  readonly status: number
  readonly headers?: Readonly<Record<string, string>>
  readonly body?: string
}

export type Answers = (request: Recorded) => Answer | null | Promise<Answer>

/**
 * A loopback server that remembers what it was asked and answers what the test says (null: it never does); gone when the
 * test has ended.
 */
export const recordHttp = async (answer: Answers) => {
  const requests: Recorded[] = []
  const server = createServer((request, response: ServerResponse) => {
    const chunks: Buffer[] = []
    request.on('data', (chunk: Buffer) => chunks.push(chunk))
    request.on('end', async () => {
      const url = new URL(request.url ?? '/', 'http://loopback')
      const raw = Buffer.concat(chunks)
      const body = request.headers['content-encoding'] === 'gzip' ? gunzipSync(raw) : raw
      const recorded = {
        method: request.method ?? '',
        path: url.pathname,
        query: Object.fromEntries(url.searchParams),
        headers: request.headers,
        body: body.toString('utf8'),
        atMs: Date.now(),
      }
      requests.push(recorded)
      const given = await answer(recorded)
      if (given === null) return
      const { status, headers = {}, body: text = '' } = given
      response.writeHead(status, headers).end(text)
    })
  })
  let port = 0
  const up = async () => {
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject)
      server.listen(port, '127.0.0.1', resolve)
    })
    const address = server.address()
    if (typeof address !== 'object' || address === null) throw new Error('it listens nowhere')
    port = address.port
  }
  /** Nobody answers any more; `up` listens on the same port again. */
  const down = async () => {
    const closed = new Promise((resolve) => server.close(resolve))
    server.closeAllConnections()
    await closed
  }
  await up()
  onTestFinished(down)
  return { url: `http://127.0.0.1:${port}`, requests, down, up }
}
