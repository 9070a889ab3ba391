import type { MethodSheet, MethodSheetVersion } from '../server/wire.ts'
import { decimal } from '../server/wording/format.ts'
import type { SiteClock } from '../server/wording/site-clock.ts'
import type { Typed } from './typed/typed.ts'

/** What a trial of a prep time is about: another of these, and it says nothing any more. */
const ABOUT = ['fluid', 'fluid_detail', 'volume_ml', 'gas', 'flow_ml_per_min', 'purge', 'prep_min'] as const

/** The trial stays named only while nothing is changed of what it showed; a lower target is held too. */
export const withShown = (typed: Typed<MethodSheet>, from: Partial<MethodSheet>): Typed<MethodSheet> => {
  const trial = from.prep_time_shown_by
  if (typed.kind === 'refused' || trial === undefined) return typed
  const isSame = ABOUT.every((key) => JSON.stringify(typed.data[key]) === JSON.stringify(from[key]))
  return isSame && typed.data.target_mg_l <= (from.target_mg_l ?? 0)
    ? { ...typed, data: { ...typed.data, prep_time_shown_by: trial } }
    : typed
}

/** Whether a trial showed the prep time of a version, and what for. */
export const shownWords = (
  { settings, prep_time_trial: trial }: Pick<MethodSheetVersion, 'settings' | 'prep_time_trial'>,
  clock: SiteClock,
): string =>
  trial === null
    ? `Prep time of ${decimal(settings.prep_min, 1)} min: not shown by a trial.`
    : `Prep time of ${decimal(settings.prep_min, 1)} min: shown by the trial “${trial.title}” for this volume and setting at ${trial.benches.length === 1 ? 'bench' : 'benches'} ${trial.benches.join(', ')}, ${trial.confidence_percent} % confidence for ${trial.coverage_percent} % of batches; closed ${clock.day(trial.closed_at)} by ${trial.closed_by}.`
