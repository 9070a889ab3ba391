import type { BatchHead, BatchRecord } from '../../../server/wire.ts'
import {
  calibrationWords,
  notCalibratedWords,
  whyUncalibrated,
} from '../../../server/wording/calibration-words.ts'
import { estimateIn } from '../../../server/wording/estimates.ts'
import { concentration, decimal, millilitres, type Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import {
  againWords,
  FLUID,
  GAS_REFERENCE,
  MEASURING_PLACE,
  PHASE,
  PURGE,
  sheetWords,
} from '../../../server/wording/words.ts'
import { Fact } from '../form/fact.tsx'

interface SummaryProps {
  readonly record: BatchRecord
  readonly unit: Unit
}

export const RecordSummary = ({ record, unit }: SummaryProps) => {
  const { summary, calibration } = record
  const mark = calibration === null ? ', uncalibrated' : ''
  return (
    <section>
      <h2>Found</h2>
      <dl class="facts fitted">
        <Fact name="Levels off at">
          {estimateIn(summary.plateau_mg_l, 1, unit)}
          {summary.plateau_mg_l !== null && mark}
        </Fact>
        <Fact name="t95">{estimateIn(summary.t95_min, 1, 'min')}</Fact>
        <Fact name="Half-life">{estimateIn(summary.half_life_min, 1, 'min')}</Fact>
        <Fact name="Half-life at 20 °C">{estimateIn(summary.half_life_20c_min, 1, 'min')}</Fact>
        <Fact name="Mean temperature">
          {summary.mean_temperature_c === null
            ? 'not measured'
            : `${decimal(summary.mean_temperature_c, 1)} °C`}
        </Fact>
      </dl>
      <p>
        {calibration === null
          ? whyUncalibrated(record.worked_from)
          : `Calibrated by the entry of ${calibration.at.slice(0, 10)}, ${calibration.method}. A value is only as good as that calibration.`}
      </p>
      <p class="hint">
        Decision rule: above only if the one-sided 95 % lower bound is at or over the value set; below if the
        upper bound is under it; else too close to say.
      </p>
    </section>
  )
}

interface SettingsProps {
  readonly head: BatchHead
  readonly clock: SiteClock
  readonly unit: Unit
}

const NOT_RECORDED = 'not recorded'

export const RecordSettings = ({ head, clock, unit }: SettingsProps) => {
  const times = (list: readonly string[]) =>
    list.length === 0 ? NOT_RECORDED : list.map(clock.full).join(', ')
  const or = (value: number | null, what: string) => (value === null ? NOT_RECORDED : `${value} ${what}`)
  return (
    <section>
      <h2>Settings</h2>
      <dl class="facts">
        <Fact name="Bench">{head.bench}</Fact>
        <Fact name="State">{PHASE[head.phase.kind]}</Fact>
        <Fact name="Fluid">
          {FLUID[head.fluid]}
          {head.fluid_detail !== null && `, ${head.fluid_detail}`}
        </Fact>
        <Fact name="Lot">{head.lot ?? NOT_RECORDED}</Fact>
        <Fact name="Volume">
          {millilitres(head.volume_ml)}, {millilitres(head.left_ml)} left
        </Fact>
        <Fact name="Value set (target)">
          {head.target_mg_l === null ? 'not set' : `${concentration(head.target_mg_l)} ${unit}`}
        </Fact>
        <Fact name="Gas value">
          {head.gas === null
            ? NOT_RECORDED
            : `${head.gas.ug_per_ml} µg/mL ${GAS_REFERENCE[head.gas.reference] ?? head.gas.reference}`}
        </Fact>
        <Fact name="Gas flow">{or(head.flow_ml_per_min, 'mL/min')}</Fact>
        <Fact name="Prep time">{or(head.prep_min, 'min')}</Fact>
        <Fact name="Age limit">{or(head.age_limit_min, 'min')}</Fact>
        <Fact name="Draw-up to use">{or(head.lead_time_min, 'min')}</Fact>
        <Fact name="Method sheet">{sheetWords(head.method_sheet)}</Fact>
        <Fact name="Bubbling again">{againWords(head) ?? 'not allowed, not done'}</Fact>
        <Fact name="Measuring place">{MEASURING_PLACE[head.measuring_place] ?? head.measuring_place}</Fact>
        <Fact name="Purge">{PURGE[head.purge] ?? head.purge}</Fact>
        <Fact name="Opened">
          {clock.full(head.opened_at)}, {head.opened_by}
        </Fact>
        <Fact name="Ozone on">{times(head.ozone_on_at)}</Fact>
        <Fact name="Ozone off">{times(head.ozone_off_at)}</Fact>
        <Fact name="Flow off">{times(head.flow_off_at)}</Fact>
        <Fact name="Discarded">{head.discarded_at === null ? 'not yet' : clock.full(head.discarded_at)}</Fact>
        <Fact name="Missing">{head.missing.length === 0 ? 'nothing' : head.missing.join(', ')}</Fact>
      </dl>
    </section>
  )
}

export const Gaps = ({ gaps, clock }: { readonly gaps: BatchRecord['gaps']; readonly clock: SiteClock }) => (
  <section>
    <h2>Gaps in the readings</h2>
    {gaps.length === 0 ? (
      <p>None.</p>
    ) : (
      <ul>
        {gaps.map((gap) => (
          <li key={gap.from}>
            {clock.full(gap.from)} to {clock.full(gap.to)}
          </li>
        ))}
      </ul>
    )}
  </section>
)

/** Said where the numbers would otherwise look as if nothing had been measured. */
export const Removed = ({ record, clock }: { readonly record: BatchRecord; readonly clock: SiteClock }) => {
  const { readings_removed_before: before, results_kept: kept } = record
  if (before === null) return null
  return (
    <p class="warning">
      {kept === null ? (
        <>
          Raw readings before {clock.full(before)} were removed by the retention setting of this program
          (keep_raw_days). What was worked out from them is missing here; the entries are whole.
        </>
      ) : (
        <>
          Worked out on {clock.full(kept.at)}; its raw readings before {clock.full(before)} have been removed
          since (keep_raw_days). The numbers and curves are those of then.
          {kept.newer_entries &&
            ' Entries or calibrations were made after that, which these numbers know nothing of.'}
        </>
      )}
    </p>
  )
}

/** What the numbers rest on, and how anybody with the files gets the same ones again. */
export const WorkedFrom = ({ record, clock, unit }: WorkedFromProps) => {
  const from = record.worked_from
  const { calibrations, probe_lag_s: lag } = from
  return (
    <section class="worked-from">
      <h2>Worked out from</h2>
      <dl class="facts">
        <Fact name="Program">
          {from.program}, {from.analysis}
        </Fact>
        <Fact name="Meter">{from.meter ?? 'none: values typed in'}</Fact>
        <Fact name="Readings">
          {from.readings}, {from.set_aside} set aside
        </Fact>
        <Fact name="Temperature readings">
          {from.temperature_readings === 0 ? 'none' : from.temperature_readings}
        </Fact>
        <Fact name="Calibration">
          {calibrations.length === 0 ? 'none in force' : calibrations.map(calibrationWords(clock)).join('; ')}
          {notCalibratedWords(from)}
        </Fact>
        <Fact name="Probe response">
          {lag === null ? 'not measured' : `${decimal(lag.tau, 0)} ± ${decimal(lag.u, 0)} s`}
        </Fact>
        <Fact name="Meter tops out at">
          {from.full_scale_mg_l === null ? NOT_RECORDED : `${concentration(from.full_scale_mg_l)} ${unit}`}
        </Fact>
        <Fact name="Earlier batches used">
          {from.earlier_batches}
          {from.earlier_batches_other_reference > 0 &&
            `; plateaus of ${from.earlier_batches_other_reference} left out: measured against another reference`}
        </Fact>
        <Fact name="Worked out at">{clock.full(from.at)}</Fact>
        <Fact name="Hash of the input">
          <code>{from.input_sha256}</code>
        </Fact>
      </dl>
      {record.results_kept === null ? (
        <p>
          The same numbers again, with <code>SPARGEWATCH_HOME</code> set to the folder these files are in:{' '}
          <code>{from.command}</code>
        </p>
      ) : (
        <p>
          They cannot be worked out again here: the readings are gone. With a back-up that has them:{' '}
          <code>{from.command}</code>
        </p>
      )}
    </section>
  )
}

interface WorkedFromProps {
  readonly record: BatchRecord
  readonly clock: SiteClock
  readonly unit: Unit
}

/** What lets a print be checked against the ledger later. */
export const Anchor = ({ record }: { readonly record: BatchRecord }) => (
  <section class="anchor">
    <h2>Ledger</h2>
    <dl class="facts">
      <Fact name="Entries">{record.ledger_entries}</Fact>
      <Fact name="Head hash">
        <code>{record.ledger_head}</code>
      </Fact>
      <Fact name="Batch id">
        <code>{record.summary.head.id}</code>
      </Fact>
    </dl>
  </section>
)
