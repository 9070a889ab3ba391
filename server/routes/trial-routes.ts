import { z } from 'zod'
import { ServerError } from '../errors.ts'
import { type Caller, whoOf } from '../people/caller.ts'
import { printTrial } from '../report/print/trial-print.ts'
import { trialCsv } from '../report/trial-csv.ts'
import type { Service } from '../service.ts'
import {
  changePlan,
  closeTrial,
  excludeBatch,
  findTrial,
  joinBatch,
  planTrial,
  type TrialChange,
} from '../trial/change-trial.ts'
import type { Trial } from '../trial/trial.ts'
import { TrialReports } from '../trial/trial-reports.ts'
import { trialHead } from '../trial/trial-view.ts'
import { trialsOf } from '../trial/trials-of.ts'
import * as wire from '../wire/trial-schema.ts'
import type { TrialView } from '../wire.ts'
import { siteClock } from '../wording/site-clock.ts'
import { idParams } from './params.ts'
import { paperQuery, sendPdf } from './pdf.ts'
import type { Input, Route } from './route.ts'

type Asked = { id: string; who?: string | undefined; why?: string | undefined }

export const trialRoutes = (service: Service): Route[] => {
  const { ledger, clock, reports, config, rules } = service
  const trials = new TrialReports({ ledger, reports, zone: config.zone, rulesOfThumb: () => rules().rules })
  const found = (id: string | undefined): Trial => {
    const trial = findTrial(ledger, id ?? '')
    if (!trial) throw new ServerError('not-found', `trial ${id} does not exist`, { fix: 'see /api/trials' })
    return trial
  }
  const view = (id: string | undefined): TrialView => trials.view(found(id))
  const change = (caller: Caller, trial: string | undefined, { id, who, why }: Asked): TrialChange => ({
    id,
    trial: (trial ?? '').toLowerCase(),
    who: whoOf(caller, who),
    why: why ?? null,
    nowMs: clock.nowMs(),
  })
  /** A route that enters something for a trial and answers with the trial as it then is. */
  const entering = <B extends z.ZodType<Asked>>(
    path: string,
    summary: string,
    body: B,
    enter: (change: TrialChange, asked: z.infer<B>) => void,
  ): Route => ({
    ...{ method: 'post', path, summary, params: idParams, body },
    answer: wire.trialView,
    handle: ({ params, body: asked, caller }: Input) => {
      enter(change(caller, params['id'], asked as Asked), asked as z.infer<B>)
      return view(params['id'])
    },
  })
  return [
    {
      method: 'get',
      path: '/api/trials',
      summary: 'Trials of this clinic, newest first',
      answer: z.array(wire.trialHead),
      handle: () => trialsOf(ledger).map(trialHead).reverse(),
    },
    {
      method: 'get',
      path: '/api/trials/{id}',
      summary: 'One trial: plan, changes, batches with what each came to, and the answer',
      params: idParams,
      answer: wire.trialView,
      handle: ({ params }) => view(params['id']),
    },
    {
      method: 'get',
      path: '/api/trials/{id}/report.csv',
      summary: 'The batches of a trial, a row each, under its answer',
      params: idParams,
      answer: null,
      mediaType: 'text/csv',
      handle: ({ params }, response) => {
        const trial = view(params['id'])
        response.type('text/csv').attachment(`trial-${trial.id}.csv`)
        for (const row of trialCsv(trial)) response.write(row)
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
        const trial = view(params['id'])
        const bytes = await printTrial({
          ...{ trial, clock: siteClock(config.zone), site: config.site },
          paper: (query as z.infer<typeof paperQuery>).paper,
          at: new Date(clock.nowMs()).toISOString(),
        })
        sendPdf(response, bytes, `trial-${trial.id}.pdf`)
      },
    },
    entering(
      '/api/trials/{id}',
      'Fix the plan of a new trial, under an id the client makes',
      wire.planTrial,
      (by, { plan }) => planTrial(ledger, by, plan),
    ),
    entering(
      '/api/trials/{id}/changes',
      'Change the plan; once batches belong to the trial only with the reason',
      wire.changeTrial,
      (by, { plan, after_seq }) => changePlan(ledger, by, after_seq, plan),
    ),
    entering(
      '/api/trials/{id}/batches',
      'Take a finished batch of the past into the trial, with the reason',
      wire.trialBatchChange,
      (by, { batch }) => joinBatch(ledger, by, batch),
    ),
    entering(
      '/api/trials/{id}/exclusions',
      'Leave a batch out, with the reason; it stays visible',
      wire.trialBatchChange,
      (by, { batch }) => excludeBatch(ledger, by, batch),
    ),
    entering(
      '/api/trials/{id}/closing',
      'End the trial with the answer it has now',
      wire.closeTrial,
      (by, { after_seq }) =>
        closeTrial(ledger, by, after_seq, (trial) => {
          const { answer, sentence } = trials.view(trial).result
          return { answer, sentence: sentence.slice(0, LONGEST_SENTENCE) }
        }),
    ),
  ]
}

/** Of text in the ledger. */
const LONGEST_SENTENCE = 4000
