import type { Response } from 'express'
import { z } from 'zod'
import { ServerError } from '../errors.ts'
import { type Caller, whoOf } from '../people/caller.ts'
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
import { trialHeads } from '../trial/trial-heads.ts'
import { trialsOf } from '../trial/trials-of.ts'
import * as wire from '../wire/trial-schema.ts'
import type { TrialView, TrialWorking } from '../wire.ts'
import { idParams } from './params.ts'
import type { Input, Route } from './route.ts'
import { trialReportRoutes } from './trial-report-routes.ts'

type Asked = { id: string; who?: string | undefined; why?: string | undefined }

export const trialRoutes = (service: Service): Route[] => {
  const { ledger, clock, trials } = service
  const all = () => trialsOf(ledger)
  const found = (id: string | undefined): Trial => {
    const trial = findTrial(ledger, id ?? '')
    if (!trial) throw new ServerError('not-found', `trial ${id} does not exist`, { fix: 'see /api/trials' })
    return trial
  }
  /** Working out the batches of a large trial takes long: then how far it is, to ask again. */
  const view = async (id: string | undefined, response: Response): Promise<TrialView | TrialWorking> => {
    const working = await trials.ready(found(id), ANSWERS_WITHIN_MS)
    if (working.done >= working.of) return trials.view(found(id), all())
    response.status(202)
    return { working }
  }
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
    enter: (change: TrialChange, asked: z.infer<B>) => void | Promise<void>,
  ): Route => ({
    ...{ method: 'post', path, summary, params: idParams, body },
    answer: z.union([wire.trialView, wire.trialWorking]),
    handle: async ({ params, body: asked, caller }: Input, response) => {
      await enter(change(caller, params['id'], asked as Asked), asked as z.infer<B>)
      return view(params['id'], response)
    },
  })
  return [
    {
      method: 'get',
      path: '/api/trials',
      summary: 'Trials of this clinic, newest first',
      answer: z.array(wire.trialHead),
      handle: () => trialHeads(ledger, all(), (batch) => trials.glanceAt(batch)),
    },
    {
      method: 'get',
      path: '/api/trials/{id}',
      summary:
        'One trial: plan, changes, batches with what each came to, and the answer; 202 and how far it is while it is worked out',
      params: idParams,
      answer: z.union([wire.trialView, wire.trialWorking]),
      handle: ({ params }, response) => view(params['id'], response),
    },
    ...trialReportRoutes(service, found, all),
    entering(
      '/api/trials/{id}',
      'Fix the plan of a new trial, under an id the client makes',
      wire.planTrial,
      (by, { plan }) => void planTrial(ledger, by, plan),
    ),
    entering(
      '/api/trials/{id}/changes',
      'Change the plan; once batches belong to the trial only with the reason',
      wire.changeTrial,
      (by, { plan, after_seq }) => void changePlan(ledger, by, after_seq, plan),
    ),
    entering(
      '/api/trials/{id}/batches',
      'Take a finished batch of the past into the trial, with the reason',
      wire.trialBatchChange,
      (by, { batch }) => void joinBatch(ledger, by, batch),
    ),
    entering(
      '/api/trials/{id}/exclusions',
      'Leave a batch out, with the reason; it stays visible',
      wire.trialBatchChange,
      (by, { batch }) => void excludeBatch(ledger, by, batch),
    ),
    entering(
      '/api/trials/{id}/closing',
      'End the trial with the answer it has now',
      wire.closeTrial,
      async (by, { after_seq }) => {
        const { done, of } = await trials.ready(found(by.trial), ANSWERS_WITHIN_MS)
        if (done < of)
          throw new ServerError('not-possible-now', `only ${done} of its ${of} batches are worked out yet`, {
            fix: 'look at the trial, and close it when its answer is there',
          })
        closeTrial(ledger, by, after_seq, (trial) => {
          const { answer, sentence } = trials.view(trial, all()).result
          return { answer, sentence: sentence.slice(0, LONGEST_SENTENCE) }
        })
      },
    ),
  ]
}

const ANSWERS_WITHIN_MS = 700
/** Of text in the ledger. */
const LONGEST_SENTENCE = 4000
