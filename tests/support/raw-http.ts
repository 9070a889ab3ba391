import { request } from 'node:http'

export interface RawAnswer {
  readonly status: number
  readonly type: string
  readonly text: string
}

/** A request with any headers and any bytes, also ones that `fetch` would not send. */
export const rawRequest = (
  address: string,
  path: string,
  options: {
    readonly method?: string
    readonly headers?: Readonly<Record<string, string>>
    readonly body?: string | Buffer
  } = {},
): Promise<RawAnswer> =>
  new Promise((resolve, reject) => {
    const { hostname, port } = new URL(address)
    const { method = 'GET', headers = {}, body } = options
    const asked = request({ hostname, port, path, method, headers: { ...headers } }, (answer) => {
      const chunks: Buffer[] = []
      answer.on('data', (chunk: Buffer) => chunks.push(chunk))
      answer.on('end', () =>
        resolve({
          status: answer.statusCode ?? 0,
          type: answer.headers['content-type'] ?? '',
          text: Buffer.concat(chunks).toString('utf8'),
        }),
      )
      answer.on('error', reject)
    })
    asked.on('error', reject)
    asked.end(body)
  })
