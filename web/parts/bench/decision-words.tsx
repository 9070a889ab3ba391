import type { LiveBench } from '../../../server/wire.ts'
import { concentration, type Unit } from '../../../server/wording/format.ts'
import { decisionWords, underWay } from '../../../server/wording/words.ts'
import type { PotencyShown } from '../../potency-shown.ts'

interface DecisionProps {
  readonly live: LiveBench
  readonly shown: PotencyShown
  readonly unit: Unit
}

/** Above, below, too close to say, not calibrated; nothing while there is no present value to decide on. */
export const DecisionWords = ({ live, shown, unit }: DecisionProps) => {
  const words = decisionWords(live)
  const present = shown.form === 'live' || (shown.form === 'by-hand' && shown.fresh)
  if (words === null || !present) return null
  const target = live.batch?.target_mg_l ?? null
  const onItsWay = live.decision === 'below' || live.decision === 'too-close-to-say'
  const quiet = onItsWay && underWay(live.phase)
  return (
    <p class={`decision decision-${quiet ? 'progress' : live.decision}`}>
      {words}
      {target !== null && `, ${concentration(target)} ${unit}`}
      {shown.form === 'by-hand' && ', when measured'}
    </p>
  )
}
