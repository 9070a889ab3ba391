import { isSpotPlace } from '../spot/spot-mode.ts'
import type { Action } from '../wire.ts'
import { type Batch, gasState } from './batch.ts'
import { whyNotAgain } from './ozone-time.ts'

/** Undefined when the action fits the batch's present state; else why not, in one sentence. */
export const whyNotPossible = (action: Action, batch: Batch): string | undefined => {
  const state = gasState(batch).kind
  if (action.kind === 'batch-opened') return 'this batch is open already'
  if (action.kind === 'note' || action.kind === 'undone') return undefined
  if (state === 'discarded') return 'this batch was discarded; open a new one'
  switch (action.kind) {
    case 'ozone-on':
      if (state === 'bubbling') return 'ozone is on already'
      return state === 'standing' ? whyNotAgain(batch) : undefined
    case 'ozone-off':
      return state === 'bubbling' ? undefined : 'ozone is not on'
    case 'flow-off':
      if (state === 'bubbling')
        return 'ozone is still on: enter ozone off first (both may have the same time)'
      return state === 'purge' ? undefined : 'no gas is flowing'
    case 'drawn-up':
      if (action.data.ml > batch.leftMl)
        return `only ${batch.leftMl} mL are left, ${action.data.ml} mL cannot have been drawn`
      return undefined
    case 'probe-in':
      return batch.probeOut.at(-1)?.to === null ? undefined : 'the probe is in already'
    case 'probe-out':
      return batch.probeOut.at(-1)?.to === null ? 'the probe is out already' : undefined
    case 'discarded':
      return state === 'bubbling' ? 'ozone is still on: enter ozone off first' : undefined
    case 'spot-reading':
      return isSpotPlace(batch)
        ? undefined
        : 'spot readings are for a dipped probe, an aliquot or a companion flask: this batch is measured all the time'
    case 'disconnected':
    case 'step-ticked':
    case 'reading-by-hand':
      return undefined
    default:
      return action satisfies never
  }
}
