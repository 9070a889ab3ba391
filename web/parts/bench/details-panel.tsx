import type { LiveBench } from '../../../server/wire.ts'
import { decimal, type Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { GAS_REFERENCE, MEASURING_PLACE, PURGE, sheetWords } from '../../../server/wording/words.ts'
import { Fact } from '../form/fact.tsx'
import { BatchNotes } from '../record/batch-notes.tsx'
import { FitTable } from './fit-table.tsx'
import { VerdictList } from './verdict-list.tsx'

interface DetailsProps {
  readonly live: LiveBench
  readonly unit: Unit
  readonly clock: SiteClock
}

/** One tap away: how the numbers came about. */
export const DetailsPanel = ({ live, unit, clock }: DetailsProps) => (
  <details class="panel">
    <summary>Details: fits, comparisons, settings</summary>
    {live.fits.length === 0 ? <p>No fit yet.</p> : <FitTable fits={live.fits} unit={unit} clock={clock} />}
    <VerdictList verdicts={live.verdicts} />
    <BatchNotes notes={live.notes} />
    <Settings live={live} />
  </details>
)

const Settings = ({ live }: { readonly live: LiveBench }) => {
  const { batch, batch_mg, vented_mg, temperature } = live
  return (
    <dl class="facts">
      <Fact name="Fluid temperature">
        {temperature.celsius === null
          ? 'not measured'
          : `${decimal(temperature.celsius, 1)} °C${temperature.state === 'live' ? '' : ` (${temperature.state}, not live)`}`}
      </Fact>
      {live.companions.map((companion) => (
        <Fact key={companion.channel} name={COMPANION[companion.channel]}>
          {companionText(companion)}
        </Fact>
      ))}
      <Fact name="Dissolved ozone in what is left">
        {batch_mg === null ? 'not known' : `${decimal(batch_mg, 1)} mg`}
      </Fact>
      <Fact name="Ozone vented so far">
        {vented_mg === null ? 'not known' : `about ${decimal(vented_mg, 0)} mg`}
      </Fact>
      {batch !== null && (
        <>
          <Fact name="Gas value, as recorded">
            {batch.gas === null
              ? 'not recorded'
              : `${batch.gas.ug_per_ml} µg/mL ${GAS_REFERENCE[batch.gas.reference] ?? batch.gas.reference}`}
          </Fact>
          <Fact name="Gas flow, as recorded">
            {batch.flow_ml_per_min === null ? 'not recorded' : `${batch.flow_ml_per_min} mL/min`}
          </Fact>
          <Fact name="Prep time">{batch.prep_min === null ? 'not recorded' : `${batch.prep_min} min`}</Fact>
          <Fact name="Method sheet">{sheetWords(batch.method_sheet)}</Fact>
          <Fact name="Measuring place">
            {MEASURING_PLACE[batch.measuring_place] ?? batch.measuring_place}
          </Fact>
          <Fact name="Purge">{PURGE[batch.purge] ?? batch.purge}</Fact>
          {batch.missing.length > 0 && <Fact name="Missing">{batch.missing.join(', ')}</Fact>}
        </>
      )}
    </dl>
  )
}

type Companion = LiveBench['companions'][number]

const COMPANION: Readonly<Record<Companion['channel'], string>> = {
  'gas-ozone': 'Gas ozone, measured',
  'gas-flow': 'Gas flow, measured',
  'barometric-pressure': 'Air pressure, measured',
  ph: 'pH, measured',
  conductivity: 'Conductivity, measured',
  'redox-potential': 'Redox potential, measured',
}

const companionText = ({ value, unit, state }: Companion): string => {
  if (value === null) return 'no number from the instrument'
  const number = decimal(value, Math.abs(value) < 100 ? 1 : 0)
  return `${number}${unit === 'pH' ? '' : ` ${unit}`}${state === 'live' ? '' : ` (${state}, not live)`}`
}
