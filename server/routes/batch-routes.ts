import { z } from 'zod'
import { act } from '../acting/act.ts'
import { checkAtDisplay } from '../acting/at-display.ts'
import { UNDO_MS } from '../acting/checks.ts'
import { analysisSchema } from '../analysis/schema.ts'
import { ServerError } from '../errors.ts'
import { type Batch, foldBatch } from '../ledger/batch.ts'
import { batchesMentioning } from '../ledger/batches-mentioning.ts'
import { batchHead } from '../live/present.ts'
import { whoOf } from '../people/caller.ts'
import { batchReadingsCsv } from '../report/batch-readings-csv.ts'
import { summariesWithin } from '../report/pending-summary.ts'
import { recordCsv } from '../report/record-csv.ts'
import type { Service } from '../service.ts'
import { batchRecord, batchSummary } from '../wire/record-schema.ts'
import { acted, act as actSchema } from '../wire/request-schema.ts'
import type { Act, Acted } from '../wire.ts'
import { batchOf, simulatedAt } from './batch-of.ts'
import { idParams } from './params.ts'
import type { Route } from './route.ts'
import { settledSpot } from './spot-routes.ts'

const listQuery = z.object({
  bench: z.string().max(40).optional(),
  fluid: z.enum(['saline', 'distilled', 'filtered', 'other']).optional(),
  text: z.string().max(80).optional(),
  before: z.iso.datetime().optional(),
  limit: z.coerce.number().int().min(1).max(200).default(50),
  patience_ms: z.coerce.number().int().min(0).max(60_000).optional().meta({
    description: 'answer after this with what is worked out, the rest marked `pending`; left out: all of it',
  }),
})

export const batchRoutes = (service: Service): Route[] => {
  return [
    {
      method: 'get',
      path: '/api/batches',
      summary: 'Batches, newest first',
      query: listQuery,
      answer: z.array(batchSummary),
      handle: ({ query }) => {
        const wanted = query as z.infer<typeof listQuery>
        const { reports } = service
        const found: Batch[] = []
        for (const batch of reports.batches(candidates(service, wanted))) {
          if (matches(batch, wanted)) found.push(batch)
          if (found.length >= wanted.limit) break
        }
        const endMs = service.clock.steadyMs() + (wanted.patience_ms ?? Number.POSITIVE_INFINITY)
        return summariesWithin(found, reports, () => service.clock.steadyMs() >= endMs)
      },
    },
    {
      method: 'get',
      path: '/api/batches/{id}',
      summary: 'The record of one batch',
      params: idParams,
      answer: batchRecord,
      handle: ({ params }) => service.reports.record(batchOf(service, params['id'])),
    },
    {
      method: 'get',
      path: '/api/batches/{id}/analysis',
      summary: 'Phases, fits, forecast and verdicts of one batch, as spargewatch.analysis/1',
      params: idParams,
      answer: analysisSchema,
      handle: ({ params }) => service.reports.analysis(batchOf(service, params['id'])),
    },
    {
      method: 'get',
      path: '/api/batches/{id}/readings.csv',
      summary: 'Readings of one batch, in the columns that "spargewatch analyse" takes',
      params: idParams,
      answer: null,
      mediaType: 'text/csv',
      handle: ({ params }, response) => {
        const batch = batchOf(service, params['id'])
        response.type('text/csv').attachment(`${batch.settings.number}-readings.csv`)
        const simulated = simulatedAt(service, batch.bench)
        const rows = batchReadingsCsv(batch, {
          ...service,
          site: service.config.site,
          simulated,
          nowMs: service.clock.nowMs(),
        })
        for (const row of rows) response.write(row)
        response.end()
      },
    },
    {
      method: 'get',
      path: '/api/batches/{id}/record.csv',
      summary: 'Ledger entries of one batch',
      params: idParams,
      answer: null,
      mediaType: 'text/csv',
      handle: ({ params }, response) => {
        const batch = batchOf(service, params['id'])
        response.type('text/csv').attachment(`${batch.settings.number}-record.csv`)
        for (const row of recordCsv(batch)) response.write(row)
        response.end()
      },
    },
    {
      method: 'post',
      path: '/api/batches/{id}/entries',
      summary: 'Record what a person did; a new batch begins with batch-opened under an id the client makes',
      params: idParams,
      body: actSchema,
      answer: acted,
      handle: ({ params, body, caller }): Acted => {
        const asked = body as Act
        checkAtDisplay(caller, asked.entry, service.ledger)
        const entry = act(params['id'] ?? '', asked, {
          ledger: service.ledger,
          who: whoOf(caller, asked.who),
          zone: service.config.zone,
          benches: new Set(service.config.benches.map((b) => b.id)),
          nowMs: service.clock.nowMs,
          valueAt: (bench, atMs) => service.engine.valueAt(bench, atMs),
          spotAt: settledSpot(service),
        })
        const batch = foldBatch(service.ledger.ofBatch(params['id'] ?? ''))
        if (!batch) throw new ServerError('not-found', 'the batch is gone')
        const undo =
          entry.kind === 'undone' ? null : new Date(Date.parse(entry.entered_at) + UNDO_MS).toISOString()
        return {
          entry: { ...entry, data: { ...entry.data } },
          head: batchHead(batch, simulatedAt(service, batch.bench)),
          undo_until: undo,
        }
      },
    },
  ]
}

/** Told apart without reading every batch there ever was. */
const candidates = (service: Service, { bench, text }: z.infer<typeof listQuery>) => {
  const only =
    text === undefined || text.trim() === '' ? undefined : batchesMentioning(service.ledger.db, text)
  return { ...(bench === undefined ? {} : { bench }), ...(only === undefined ? {} : { only }) }
}

const matches = (batch: Batch, wanted: z.infer<typeof listQuery>): boolean => {
  const { bench, fluid, text, before } = wanted
  if (bench !== undefined && batch.bench !== bench) return false
  if (fluid !== undefined && batch.settings.fluid !== fluid) return false
  if (before !== undefined && batch.openedAt >= before) return false
  if (text === undefined || text === '') return true
  const searched = [
    batch.settings.number,
    batch.settings.lot,
    batch.settings.fluid_detail,
    batch.openedBy,
    ...batch.draws.map((d) => d.data.opaque_reference),
  ]
    .join(' ')
    .toLowerCase()
  return searched.includes(text.toLowerCase())
}
