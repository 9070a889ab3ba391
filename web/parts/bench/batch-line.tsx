import type { BatchHead } from '../../../server/wire.ts'
import { concentration, millilitres, type Unit } from '../../../server/wording/format.ts'
import { FLUID } from '../../../server/wording/words.ts'
import { recordPath } from '../../route.ts'
import { Link } from '../../router.tsx'

/** What is in the flask, on one line. */
export const BatchLine = ({ batch, unit }: { readonly batch: BatchHead; readonly unit: Unit }) => (
  <p class="batch-line">
    <Link to={recordPath(batch.id)}>Batch {batch.number}</Link>
    <span>
      {FLUID[batch.fluid]}
      {batch.fluid_detail !== null && `, ${batch.fluid_detail}`}
    </span>
    <span>{batch.lot === null ? 'lot not recorded' : `lot ${batch.lot}`}</span>
    <span>
      {millilitres(batch.left_ml)} left of {millilitres(batch.volume_ml)}
    </span>
    <span>
      {batch.target_mg_l === null
        ? 'no value set'
        : `value you set ${concentration(batch.target_mg_l)} ${unit}`}
    </span>
  </p>
)
