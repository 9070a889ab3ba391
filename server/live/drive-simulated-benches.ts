import { connect } from 'node:net'
import type { BenchConfig } from '../config.ts'
import { foldBatch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import { type Pour, simulatedAction } from '../seed/demo-bench.ts'
import type { Service } from '../service.ts'

/**
 * A simulated bench does what its operator enters: each entry made at it is passed on to the simulation.
 * Real benches have no control port, and nothing here ever reaches them.
 */
export const driveSimulatedBenches = (
  service: Service,
  onTrouble: (error: unknown) => void,
): (() => void) => {
  const controls = new Map(
    service.config.benches.flatMap((b) => (b.simulated && b.control ? [[b.id, b.control] as const] : [])),
  )
  if (controls.size === 0) return () => {}
  return service.ledger.onAppended((entry) => {
    const control = entry.bench === null ? undefined : controls.get(entry.bench)
    const command = control && commandOf(entry, service)
    if (control && command) send(control, command, onTrouble)
  })
}

/** Nobody measures what is poured in here: a bench that a person drives starts from room-warm, ordinary fluid. */
const ORDINARY: Pour = { temperatureC: 20, lotFactor: 1 }

const commandOf = (entry: Entry, service: Service): object | undefined => {
  const settings = entry.batch ? foldBatch(service.ledger.ofBatch(entry.batch))?.settings : undefined
  return (
    settings && simulatedAction(entry.kind, settings, ORDINARY, entry.kind === 'drawn-up' ? entry.data.ml : 0)
  )
}

const send = (
  control: NonNullable<BenchConfig['control']>,
  command: object,
  onTrouble: (error: unknown) => void,
): void => {
  const socket = connect(control, () => socket.end(`${JSON.stringify(command)}\n`))
  socket.on('error', onTrouble)
  socket.setTimeout(2000, () => socket.destroy())
  socket.resume()
}
