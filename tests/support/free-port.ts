import { createServer } from 'node:net'

/** A port of loopback that nobody listens on at this moment. */
export const freePort = async (): Promise<number> => {
  const server = createServer()
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const address = server.address()
  await new Promise((resolve) => server.close(resolve))
  if (typeof address !== 'object' || address === null) throw new Error('no port is free')
  return address.port
}
