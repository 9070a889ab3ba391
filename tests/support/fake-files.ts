import { readFile } from 'node:fs/promises'
import type { ServerResponse } from 'node:http'
import { extname, join, normalize } from 'node:path'

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
}

/** A built file, or the page itself for every address that is a screen. */
export const sendFile = async (root: string, url: string, response: ServerResponse): Promise<void> => {
  const path = normalize(new URL(url, 'http://here').pathname)
  const type = TYPES[extname(path)]
  const file = type === undefined ? join(root, 'index.html') : join(root, path)
  try {
    const content = await readFile(file)
    response.writeHead(200, { 'content-type': type ?? TYPES['.html'] })
    response.end(content)
  } catch {
    response.writeHead(404).end()
  }
}
