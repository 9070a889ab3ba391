import type { PortConfig } from './config-port.ts'
import type { PortWorker } from './port-worker.ts'

export interface PortWorkers {
  /** Makes the running ports those given: what is wired as before goes on undisturbed. Returns the names touched. */
  apply(ports: readonly PortConfig[]): string[]
  all(): PortWorker[]
  stop(): void
}

/** The ports at work, each restarted only when its own wiring changes. */
export const createPortWorkers = (start: (port: PortConfig) => PortWorker): PortWorkers => {
  const running = new Map<string, { readonly wiring: string; readonly worker: PortWorker }>()

  const end = (name: string) => {
    const found = running.get(name)
    found?.worker.stop()
    found?.worker.reportDiscards()
    running.delete(name)
  }

  return {
    apply(ports) {
      const wanted = new Map(ports.map((port) => [port.name, port]))
      const gone = [...running.keys()].filter((name) => !wanted.has(name))
      const changed = ports.filter((port) => running.get(port.name)?.wiring !== port.wiring)
      // every port is closed before any is opened: two may have changed names
      for (const name of [...gone, ...changed.map((port) => port.name)]) end(name)
      for (const port of changed) running.set(port.name, { wiring: port.wiring, worker: start(port) })
      return [...gone, ...changed.map((port) => port.name)]
    },
    all: () => [...running.values()].map(({ worker }) => worker),
    stop() {
      for (const name of [...running.keys()]) end(name)
    },
  }
}
