import type { TrialView } from '../wire.ts'
import { decimal } from './format.ts'
import type { SiteClock } from './site-clock.ts'

/** What stands in a trial's report beside its numbers, on paper and on screen. */

export const runWords = ({ run, day, what, batch, in_turn }: TrialView['run_order'][number]): string => {
  const made = batch === null ? 'to be made' : `made as ${batch}${in_turn === false ? ', out of turn' : ''}`
  return `${run}. day ${day}, ${what} (${made})`
}

/** Each calibration with the batches that rest on it, and the batches that rest on none. */
export const calibrationWords = ({ instruments, uncalibrated }: TrialView, clock: SiteClock): string[] => [
  ...instruments.map(
    (c) =>
      `${c.instrument} (bench ${c.benches.join(', ')}): calibrated ${clock.full(c.at)} by ${c.method}, slope ${decimal(c.slope, 3)} ± ${decimal(c.u_slope_percent, 1)} %, zero ${decimal(c.zero, 2)} µg/mL; ${c.batches.length === 1 ? 'batch' : 'batches'} ${c.batches.join(', ')}.`,
  ),
  ...(uncalibrated.length > 0
    ? [`Without a calibration, or typed in by hand: ${uncalibrated.join(', ')}.`]
    : []),
]

export const METHOD = {
  'prep-time':
    'Each batch is fitted by itself, C = Css − (Css − C0)·exp(−kt); its time is counted from ozone-free fluid. Tolerance bounds are one-sided on the log scale, exp(mean ± k·s) with k from the noncentral t (NIST/SEMATECH e-Handbook 7.2.6.3); the calibration’s uncertainty, which batches share, is set against them whole (1.645 standard uncertainties). Means are random-effects means by REML with each batch’s own standard error.',
  'fluid-comparison':
    'Each batch is fitted by itself. Plateaus are brought to one gas value in proportion and to one temperature by published solubilities, whose disagreement widens the interval. Ratios are of geometric means with Welch’s interval on the log scale; p after Holm over all pairs; equivalence by two one-sided tests. Means are random-effects means by REML with each batch’s own standard error.',
} as const satisfies Readonly<Record<TrialView['kind'], string>>

export const LIMITS = {
  'prep-time':
    'It speaks for this fluid, volume, generator setting, way of purging and these benches, within the limits of the plan, and for batches made as these were. It says nothing of sterility, by-products or fitness for use, and replaces no local rule. Not a dose. The prescriber decides.',
  'fluid-comparison':
    'It speaks for these fluids and lots, this volume and generator setting, within the limits of the plan. Dissolved ozone alone was compared: nothing is said of sterility, by-products, tonicity or fitness for use. Not a dose. The prescriber decides.',
} as const satisfies Readonly<Record<TrialView['kind'], string>>

/** The command, and what the record held when this was worked out. */
export const reproduceWords = (trial: TrialView): string =>
  `npx spargewatch trial report ${trial.id} --pdf report.pdf --csv batches.csv, with this home’s record up to entry ${trial.ledger_entries} (head ${trial.ledger_head}); check the record with npx spargewatch ledger verify --anchor ${trial.ledger_entries}:${trial.ledger_head}.`
