import type { BatchHead, Decision } from '../../server/wire.ts'
import { concentration, type Unit } from '../format.ts'
import type { PotencyShown } from '../potency-shown.ts'
import { DECISION } from '../words.ts'

interface DecisionProps {
  readonly decision: Decision
  readonly shown: PotencyShown
  readonly batch: BatchHead | null
  readonly unit: Unit
}

/** Above, below, too close to say, not calibrated; nothing while there is no present value to decide on. */
export const DecisionWords = ({ decision, shown, batch, unit }: DecisionProps) => {
  const words = DECISION[decision]
  const present = shown.form === 'live' || (shown.form === 'by-hand' && shown.fresh)
  if (words === null || !present) return null
  const target = batch?.target_mg_l ?? null
  return (
    <p class={`decision decision-${decision}`}>
      {words}
      {target !== null && `, ${concentration(target)} ${unit}`}
      {shown.form === 'by-hand' && ', when measured'}
    </p>
  )
}
