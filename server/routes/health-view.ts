import { loggingSeenUs } from '../live/logging-seen.ts'
import { deliveryHealthView } from '../notify/delivery-view.ts'
import type { Service } from '../service.ts'
import type { Health } from '../wire.ts'
import { forwardingView, isForwardingWell, mirrorView } from './forwarding-view.ts'
import { storeView } from './store-view.ts'

/** The daemon rewrites its status every second; this long without counts as gone. */
const DAEMON_GONE_S = 5

export const healthView = ({
  config,
  version,
  clock,
  startedMs,
  events,
  store,
  ledger,
  rules,
  elsewhere,
}: Service): Health => {
  const forwarding = forwardingView({ config, clock })
  const mirror = mirrorView({ config, clock })
  const delivery = deliveryHealthView(elsewhere)
  const wiring = events.newestOf(['started', 'rewired', 'wiring-refused'])
  const refused = wiring?.kind === 'wiring-refused' ? String(wiring.detail['why']) : null
  const files = storeView({ config, store }, clock.nowMs())
  const ports = events.ports()
  const seenUs = loggingSeenUs(ports)
  const alive = seenUs > 0 && Math.abs(clock.nowMs() - seenUs / 1000) / 1000 < DAEMON_GONE_S
  return {
    status:
      alive &&
      ports.every((p) => p.state === 'open') &&
      isForwardingWell(forwarding) &&
      isForwardingWell(mirror) &&
      isDeliveryWell(delivery) &&
      !files.disk_nearly_full
        ? 'working'
        : 'degraded',
    version,
    simulated: config.simulated,
    at: new Date(clock.nowMs()).toISOString(),
    uptime_s: (clock.steadyMs() - startedMs) / 1000,
    daemon: {
      seen_at: seenUs > 0 ? new Date(seenUs / 1000).toISOString() : null,
      alive,
      readings_seq: store.newestSeq(),
    },
    ledger: ledger.head(),
    store: files,
    forwarding,
    record_mirror: mirror,
    delivery,
    wiring: { refused },
    rules_of_thumb: { entries: rules().rules.length, fault: rules().fault },
    ports: ports.map((p) => ({
      port: p.port,
      state: p.state,
      why: p.why,
      frames: p.frames,
      readings: p.readings,
      discarded: Object.values(p.discarded).reduce((a, b) => a + b, 0),
      last_reading_at: p.lastReadingUs === null ? null : new Date(p.lastReadingUs / 1000).toISOString(),
    })),
  }
}

const isDeliveryWell = (delivery: Health['delivery']): boolean =>
  delivery === null || (delivery.fault === null && delivery.not_reached.length === 0)

/** For a monitor that looks at the status code alone. */
export const checkView = (
  service: Service,
): { readonly status: Health['status']; readonly logging: boolean } => {
  const { status, daemon } = healthView(service)
  return { status, logging: daemon.alive }
}
