import { z } from 'zod'
import { printTrial } from '../report/print/trial-print.ts'
import { trialCsv } from '../report/trial-csv.ts'
import { trialCurvesCsv } from '../report/trial-curves-csv.ts'
import type { Service } from '../service.ts'
import { trialPower } from '../trial/power.ts'
import { spreadSeen } from '../trial/spread-seen.ts'
import type { Trial } from '../trial/trial.ts'
import { trialCurvesOf } from '../trial/trial-curves.ts'
import * as power from '../wire/trial-power-schema.ts'
import * as wire from '../wire/trial-schema.ts'
import { siteClock } from '../wording/site-clock.ts'
import { idParams } from './params.ts'
import { paperQuery, sendPdf } from './pdf.ts'
import { finishedOf } from './plan-routes.ts'
import type { Route } from './route.ts'

/** A report waits for its batches as long as a browser would. */
const REPORT_WAITS_MS = 120_000
/** Curves are asked for when the trial is worked out already. */
const CURVES_WAIT_MS = 10_000

const spreadQuery = z.object({
  fluid: z.enum(['saline', 'distilled', 'filtered', 'other']),
  volume_ml: z.coerce.number().positive().optional(),
  flow_ml_per_min: z.coerce.number().positive().optional(),
})

/** What a trial gives out: CSV, the printed report, curves; and how many batches a plan needs. */
export const trialReportRoutes = (
  { trials, reports, config, clock }: Pick<Service, 'trials' | 'reports' | 'config' | 'clock'>,
  found: (id: string | undefined) => Trial,
  all: () => readonly Trial[],
): Route[] => {
  const worked = async (id: string | undefined) => {
    await trials.ready(found(id), REPORT_WAITS_MS)
    return trials.view(found(id), all())
  }
  return [
    {
      method: 'get',
      path: '/api/trials/{id}/report.csv',
      summary: 'The batches of a trial, a row each, under its answer',
      params: idParams,
      answer: null,
      mediaType: 'text/csv',
      handle: async ({ params }, response) => {
        const trial = await worked(params['id'])
        response.type('text/csv').attachment(`trial-${trial.id}.csv`)
        for (const row of trialCsv(trial)) response.write(row)
        response.end()
      },
    },
    {
      method: 'get',
      path: '/api/trials/{id}/curves.csv',
      summary: 'Fitted curves with their bands, and readings with what the fit leaves of them, a row a point',
      params: idParams,
      answer: null,
      mediaType: 'text/csv',
      handle: async ({ params }, response) => {
        const trial = await worked(params['id'])
        response.type('text/csv').attachment(`trial-${trial.id}-curves.csv`)
        for (const row of trialCurvesCsv(trial, trialCurvesOf(found(params['id']), trial, trials)))
          response.write(row)
        response.end()
      },
    },
    {
      method: 'get',
      path: '/api/trials/{id}/report.pdf',
      summary: 'The report of a trial to print, A4 or Letter, with its plots as vectors',
      params: idParams,
      query: paperQuery,
      answer: null,
      mediaType: 'application/pdf',
      handle: async ({ params, query }, response) => {
        const trial = await worked(params['id'])
        const bytes = await printTrial({
          ...{ trial, clock: siteClock(config.zone), site: config.site },
          curves: trialCurvesOf(found(params['id']), trial, trials),
          paper: (query as z.infer<typeof paperQuery>).paper,
          at: new Date(clock.nowMs()).toISOString(),
        })
        sendPdf(response, bytes, `trial-${trial.id}.pdf`)
      },
    },
    {
      method: 'get',
      path: '/api/trials/{id}/curves',
      summary: 'Fitted curves of its batches with their 95 % bands, and some of the readings they rest on',
      params: idParams,
      answer: wire.trialCurves,
      handle: async ({ params }) => {
        const trial = found(params['id'])
        await trials.ready(trial, CURVES_WAIT_MS)
        return trialCurvesOf(trial, trials.view(trial, all()), trials)
      },
    },
    {
      method: 'post',
      path: '/api/trial-power',
      summary: 'How many batches a plan needs, by the chance to show what there is; stores nothing',
      body: power.trialPowerWanted,
      answer: power.trialPower,
      handle: ({ body }) => trialPower(body as z.infer<typeof power.trialPowerWanted>),
    },
    {
      method: 'get',
      path: '/api/trial-spread',
      summary: 'How this clinic’s own finished batches of a fluid spread, the newest 30',
      query: spreadQuery,
      answer: power.trialSpreadSeen,
      handle: ({ query }) => {
        const { fluid, volume_ml, flow_ml_per_min } = query as z.infer<typeof spreadQuery>
        return spreadSeen(finishedOf(reports, fluid), { volumeMl: volume_ml, flowMlPerMin: flow_ml_per_min })
      },
    },
  ]
}
