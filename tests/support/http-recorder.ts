import { createServer, type IncomingHttpHeaders, type ServerResponse } from 'node:http'
import { gunzipSync } from 'node:zlib'
import { onTestFinished } from 'vitest'

export interface Recorded {
  readonly method: string
  readonly path: string
  readonly query: Readonly<Record<string, string>>
  readonly headers: IncomingHttpHeaders
  readonly body: string
}

export interface Answer {
  readonly status: number
  readonly headers?: Readonly<Record<string, string>>
  readonly body?: string
}

/** A loopback server that remembers what it was asked and answers what the test says; gone when the test has ended. */
export const recordHttp = async (answer: (request: Recorded) => Answer) => {
  const requests: Recorded[] = []
  const server = createServer((request, response: ServerResponse) => {
    const chunks: Buffer[] = []
    request.on('data', (chunk: Buffer) => chunks.push(chunk))
    request.on('end', () => {
      const url = new URL(request.url ?? '/', 'http://loopback')
      const raw = Buffer.concat(chunks)
      const body = request.headers['content-encoding'] === 'gzip' ? gunzipSync(raw) : raw
      const recorded = {
        method: request.method ?? '',
        path: url.pathname,
        query: Object.fromEntries(url.searchParams),
        headers: request.headers,
        body: body.toString('utf8'),
      }
      requests.push(recorded)
      const { status, headers = {}, body: text = '' } = answer(recorded)
      response.writeHead(status, headers).end(text)
    })
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  onTestFinished(() => {
    server.closeAllConnections()
    server.close()
  })
  const address = server.address()
  if (typeof address !== 'object' || address === null) throw new Error('it listens nowhere')
  return { url: `http://127.0.0.1:${address.port}`, requests }
}
