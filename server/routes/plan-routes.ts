import type { z } from 'zod'
import { planOf } from '../planner/plan.ts'
import type { PlanInput } from '../planner/plan-input.ts'
import type { BatchReports } from '../report/batch-report.ts'
import type { Service } from '../service.ts'
import { planAnswer, planWanted } from '../wire/plan-schema.ts'
import type { BatchSummary } from '../wire.ts'
import type { Route } from './route.ts'

/** As many as the forecast and the verdicts look back on. */
const MOST_BATCHES = 30

export const planRoutes = ({ reports }: Service): Route[] => [
  {
    method: 'post',
    path: '/api/plan',
    summary: 'What a batch would come to, by physics and by this clinic’s own batches; stores nothing',
    body: planWanted,
    answer: planAnswer,
    handle: ({ body }) => {
      const wanted = body as z.infer<typeof planWanted>
      return planOf(planInputOf(wanted), finishedOf(reports, wanted.fluid))
    },
  },
]

export const planInputOf = (w: z.infer<typeof planWanted>): PlanInput => ({
  fluid: w.fluid,
  volumeMl: w.volume_ml,
  temperatureC: w.temperature_c,
  gas: { ugPerMl: w.gas.ug_per_ml, reference: w.gas.reference },
  flowMlPerMin: w.flow_ml_per_min,
  purge: w.purge,
  purgeMin: w.purge_min,
  ...(w.target_mg_l === undefined ? {} : { targetMgPerL: w.target_mg_l }),
  ...(w.prep_min === undefined ? {} : { prepMin: w.prep_min }),
  ...(w.room_m3 === undefined ? {} : { roomM3: w.room_m3 }),
  ...(w.room_c === undefined ? {} : { roomC: w.room_c }),
  ...(w.pressure_kpa === undefined ? {} : { pressureKpa: w.pressure_kpa }),
})

/** Finished batches of the fluid, newest first. */
export const finishedOf = (reports: BatchReports, fluid: PlanInput['fluid']): BatchSummary[] => {
  const found: BatchSummary[] = []
  for (const batch of reports.batches()) {
    if (batch.discardedAt && batch.settings.fluid === fluid) found.push(reports.summary(batch))
    if (found.length >= MOST_BATCHES) break
  }
  return found
}
