import type { BatchSummary } from '../../../server/wire.ts'
import { summaryTexts } from '../../../server/wording/estimates.ts'
import { concentration, decimal, millilitres } from '../../../server/wording/format.ts'
import { FLUID, PHASE } from '../../../server/wording/words.ts'
import { differentReferences } from '../../references.ts'
import { useUnit } from '../../remembered.ts'
import { recordPath } from '../../route.ts'
import { Link } from '../../router.tsx'
import { useSiteClock } from '../frame/site.ts'

/** One row per batch. Fitted numbers carry their 95 % interval; a bound stays a bound. */
export const BatchTable = ({ rows }: { readonly rows: readonly BatchSummary[] }) => {
  const [unit] = useUnit()
  const references = differentReferences(rows)
  return (
    <table class="list">
      <caption class="hint">
        Fitted numbers with their 95 % intervals. A dash: not found from this batch.
        {rows.some((row) => row.pending === true) && ' … : being worked out.'}
        {references.length > 1 && (
          <b>
            {' '}
            Not all were measured against the same reference ({references.join('; ')}): what they level off at
            may differ for that alone. Which one stands in each row.
          </b>
        )}
      </caption>
      <thead>
        <tr>
          <th scope="col">Batch</th>
          <th scope="col">Opened</th>
          <th scope="col">Fluid</th>
          <th scope="col">State</th>
          <th scope="col">Value set, {unit}</th>
          <th scope="col">Levels off at, {unit}</th>
          <th scope="col">t95, min</th>
          <th scope="col">Half-life, min</th>
          <th scope="col">at 20 °C, min</th>
          <th scope="col">Mean, °C</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <Row key={row.head.id} row={row} noteReference={references.length > 1} />
        ))}
      </tbody>
    </table>
  )
}

/** Not worked out yet: that is no dash, which says that nothing was found. */
const PENDING = { plateau: '…', t95: '…', halfLife: '…', halfLife20: '…' }

interface RowProps {
  readonly row: BatchSummary
  readonly noteReference: boolean
}

const Row = ({ row, noteReference }: RowProps) => {
  const clock = useSiteClock()
  const [unit] = useUnit()
  const { head } = row
  const texts = row.pending === true ? PENDING : summaryTexts(row)
  return (
    <tr>
      <th scope="row">
        <Link to={recordPath(head.id)}>{head.number}</Link>
        {head.simulated && <i> simulated</i>}
      </th>
      <td data-name="Opened">
        {clock.day(head.opened_at)} {clock.time(head.opened_at)}
      </td>
      <td data-name="Fluid">
        {FLUID[head.fluid]}, {millilitres(head.volume_ml)}
        {head.lot !== null && `, lot ${head.lot}`}
      </td>
      <td data-name="State">{PHASE[head.phase.kind]}</td>
      <td data-name={`Value set, ${unit}`}>{concentration(head.target_mg_l)}</td>
      <td data-name={`Levels off at, ${unit}`}>
        {texts.plateau}
        {noteReference && row.plateau_mg_l !== null && (
          <span class="hint"> against {row.measured_against.join(', ')}</span>
        )}
      </td>
      <td data-name="t95, min">{texts.t95}</td>
      <td data-name="Half-life, min">{texts.halfLife}</td>
      <td data-name="Half-life at 20 °C, min">{texts.halfLife20}</td>
      <td data-name="Mean, °C">{row.pending === true ? '…' : decimal(row.mean_temperature_c, 1)}</td>
    </tr>
  )
}
