import { createServer, type Server } from 'node:net'

/** Ports of the loopback interface that nobody uses at the moment, all different. */
export const freePorts = async (count: number): Promise<number[]> => {
  const servers = await Promise.all(Array.from({ length: count }, listening))
  const ports = servers.map((server) => {
    const address = server.address()
    return typeof address === 'object' && address ? address.port : 0
  })
  await Promise.all(servers.map((server) => new Promise((closed) => server.close(closed))))
  return ports
}

const listening = (): Promise<Server> =>
  new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => resolve(server))
  })
