import type { AnalysedPhase } from '../analysis/schema.ts'
import type { LiveBench } from '../wire.ts'

type Offer = NonNullable<LiveBench['offer']>

/** A turn younger than this may still be noise, ms. */
const LEAST_AGE_MS = 20_000

/**
 * A change that the signal or the gas shows and nobody entered: offered to the person at the bench, never applied to the
 * record. Only what can come next in the present state of the batch. Null: nothing to offer.
 */
export const offerOf = (
  phases: readonly AnalysedPhase[],
  state: LiveBench['phase'],
  nowMs: number,
): Offer | null => {
  const found = phases.filter(
    (phase) => phase.found_by === 'signal' && nowMs - Date.parse(phase.start) >= LEAST_AGE_MS,
  )
  const since = state.since === null ? Number.NEGATIVE_INFINITY : Date.parse(state.since)
  const startOf = (...kinds: AnalysedPhase['kind'][]) =>
    found.find((phase) => kinds.includes(phase.kind) && Date.parse(phase.start) > since)?.start
  switch (state.kind) {
    case 'set-up':
      return offer('ozone-on', found.findLast((phase) => phase.kind === 'rise')?.start)
    case 'bubbling':
      return offer('ozone-off', startOf('purge', 'decay'))
    case 'purge':
      return offer('flow-off', startOf('decay'))
    case 'no-batch':
    case 'standing':
    case 'discarded':
      return null
  }
}

const offer = (kind: Offer['kind'], at: string | undefined): Offer | null =>
  at === undefined ? null : { kind, at }
