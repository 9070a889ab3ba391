import { trialView } from '../../server/trial/trial-view.ts'
import type { TrialCurves, TrialView } from '../../server/wire.ts'
import { PREP_PLAN, TRIAL } from './trial.ts'
import { excluded, facts, memberOf, trialOf } from './trial-facts.ts'

const PLAN = { ...PREP_PLAN, prep_min: 9.5 }

const at = (volume_ml: number, typical_min: number, bound_min: number) => ({
  ...{ trial: TRIAL, title: `Saline, ${volume_ml} mL`, volume_ml, prep_min: bound_min + 0.5 },
  ...{ typical_min, bound_min, batches: 5, answer: 'shown' as const },
})
const FAKE_VOLUMES = [at(100, 3.1, 4.2), at(250, 6.2, 9.1), at(500, 11.8, 15.4)]

/** A prep time shown by five batches, with one left out and one off plan. */
export const fakeTrial = (): TrialView => ({
  ...trialView(
    trialOf(PLAN),
    [
      ...[6.1, 5.4, 7.2, 5.9, 6.6].map((t95, i) => memberOf(PLAN, facts(i + 1, { t95 }))),
      memberOf(PLAN, facts(6, { t95: 20 }), { excluded: { ...excluded, why: 'tube slipped off' } }),
      memberOf(PLAN, facts(7, {}, { temperatureC: 25 }), { how: 'selected' }),
    ],
    [],
  ),
  over_volume: FAKE_VOLUMES,
  ...{ simulated: false, ledger_entries: 12, ledger_head: 'f'.repeat(64) },
})

/** A curve with its band and twelve readings about it, those on even places above, the others below. */
const curveOf = (at: (minute: number) => number, until: number) => {
  const minutes = Array.from({ length: 21 }, (_, i) => (until * i) / 20)
  return {
    minutes,
    mean: minutes.map(at),
    low: minutes.map((m) => at(m) - 0.4),
    high: minutes.map((m) => at(m) + 0.4),
    seen: Array.from({ length: 12 }, (_, i): [number, number, number] => {
      const minute = (until * (i + 0.5)) / 12
      const residual = i % 2 === 0 ? 0.2 : -0.15
      return [minute, at(minute) + residual, residual]
    }),
  }
}

/** Curves of a trial's batches: t95 of 6 min towards 20 mg/L and a half-life of 30 min, each batch a little apart. */
export const fakeCurves = (trial: TrialView = fakeTrial()): TrialCurves =>
  trial.members.map(({ id, number, group, pooled }, i) => ({
    ...{ id, number, group, pooled },
    rise: curveOf((m) => (20 - 0.3 * i) * -Math.expm1((-Math.log(20) * m) / 6), 9),
    decay: curveOf((m) => (18 - 0.3 * i) * 2 ** (-m / 30), 20),
  }))
