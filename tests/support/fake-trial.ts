import { trialView } from '../../server/trial/trial-view.ts'
import type { TrialView } from '../../server/wire.ts'
import { PREP_PLAN } from './trial.ts'
import { excluded, facts, memberOf, trialOf } from './trial-facts.ts'

const PLAN = { ...PREP_PLAN, prep_min: 9.5 }

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
  ...{ simulated: false, ledger_entries: 12, ledger_head: 'f'.repeat(64) },
})
