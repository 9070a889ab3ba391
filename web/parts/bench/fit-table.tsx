import type { FitSummary } from '../../../server/wire.ts'
import { estimateText } from '../../../server/wording/estimates.ts'
import { decimal, type Unit } from '../../../server/wording/format.ts'
import { reason } from '../../../server/wording/reasons.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { FIT } from '../../../server/wording/words.ts'
import { Fact } from '../form/fact.tsx'

interface FitTableProps {
  readonly fits: readonly FitSummary[]
  readonly unit: Unit
  readonly clock: SiteClock
}

/** Each fit with its numbers and 95 % intervals, or why there is none. */
export const FitTable = ({ fits, unit, clock }: FitTableProps) => (
  <div class="fits">
    {fits.map((fit) => (
      <section key={`${fit.kind}${fit.start}`} class="fit">
        <h3>
          {FIT[fit.kind]}, {clock.time(fit.start)} to {clock.time(fit.end)}
        </h3>
        {fit.status !== 'fitted' && (
          <p>
            {fit.status === 'bounded' ? 'Bounds only' : 'No fit'}
            {fit.why === null ? '' : `: ${reason(fit.why)}`}
          </p>
        )}
        <FitFacts fit={fit} unit={unit} />
        {fit.notes.length > 0 && (
          <ul class="notes">
            {fit.notes.map((note) => (
              <li key={note}>{reason(note)}</li>
            ))}
          </ul>
        )}
      </section>
    ))}
    <p class="hint">Brackets hold 95 % intervals. These are fitted numbers, not measured ones.</p>
  </div>
)

const FitFacts = ({ fit, unit }: { readonly fit: FitSummary; readonly unit: Unit }) => (
  <dl class="facts fitted">
    {fit.plateau_mg_l !== null && (
      <Fact name="Levels off at">
        {estimateText(fit.plateau_mg_l, 1)} {unit}
      </Fact>
    )}
    {fit.t95_min !== null && <Fact name="t95">{estimateText(fit.t95_min, 1)} min</Fact>}
    {fit.fraction_of_plateau !== null && (
      <Fact name="Reached so far">
        {decimal(fit.fraction_of_plateau * 100, 0)} % of what it levels off at
      </Fact>
    )}
    {fit.half_life_min !== null && <Fact name="Half-life">{estimateText(fit.half_life_min, 1)} min</Fact>}
    {fit.half_life_20c_min !== null && (
      <Fact name="Half-life at 20 °C">{estimateText(fit.half_life_20c_min, 1)} min</Fact>
    )}
    {fit.lost_percent !== null && (
      <Fact name="Carried out by the purge">{estimateText(fit.lost_percent, 0)} %</Fact>
    )}
    {fit.rate_per_min !== null && (
      <Fact name="Apparent rate">{estimateText(fit.rate_per_min, 4)} per min</Fact>
    )}
    {fit.order !== null && <Fact name="Order">{fit.order}</Fact>}
    {fit.residual_sd_mg_l !== null && (
      <Fact name="Scatter about the fit">
        {decimal(fit.residual_sd_mg_l, 2)} {unit} (1 s)
      </Fact>
    )}
    <Fact name="Readings">
      {fit.n}
      {fit.n_eff !== null && `, worth ${decimal(fit.n_eff, 0)} independent ones`}
    </Fact>
  </dl>
)
