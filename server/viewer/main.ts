import { createServer } from 'node:http'
import { join } from 'node:path'
import { packageFolder, type Surroundings } from '../config.ts'
import { createApp, listen } from '../http.ts'
import { createFollower, startFollowing } from './follow-deliveries.ts'
import { type ViewerParts, viewerRoutes } from './viewer-routes.ts'

export interface ViewerOptions extends Omit<ViewerParts, 'followed' | 'nowMs'> {
  readonly onUnexpected: (error: unknown) => void
}

/** Serves what InfluxDB knows, read only, until this process is told to stop. Resolves with its address once it is up. */
export const runViewer = async (options: ViewerOptions, { host, port }: Surroundings): Promise<string> => {
  const { config, series, readings, version, onUnexpected } = options
  const nowMs = Date.now
  const { step, followed } = createFollower({
    connection: readings,
    site: config.site,
    series,
    nowUs: () => (nowMs() * 1000) as ReturnType<Parameters<typeof createFollower>[0]['nowUs']>,
  })
  const app = createApp({
    routes: viewerRoutes({ ...options, followed, nowMs }),
    version,
    screens: join(packageFolder(), 'dist', 'web'),
    page: 'viewer.html',
    readOnly: true,
    onUnexpected,
  })
  const http = createServer(app)
  const address = await listen(http, host, port)
  const stop = startFollowing(step)
  const end = () => {
    stop()
    http.closeAllConnections()
    process.exit(0)
  }
  process.once('SIGTERM', end)
  process.once('SIGINT', end)
  if (process.connected) process.once('disconnect', end)
  return address
}
