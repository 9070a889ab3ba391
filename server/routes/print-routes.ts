import type { Request } from 'express'
import { z } from 'zod'
import { timeUs } from '../../ingest/units.ts'
import { ServerError } from '../errors.ts'
import type { Batch } from '../ledger/batch.ts'
import { batchHead } from '../live/present.ts'
import { calibratedEnvelope } from '../report/calibrated-envelope.ts'
import type { Column } from '../report/print/chart.ts'
import { printLabel } from '../report/print/label-print.ts'
import { printRecord } from '../report/print/record-print.ts'
import type { Service } from '../service.ts'
import type { BatchRecord } from '../wire.ts'
import { siteClock } from '../wording/site-clock.ts'
import { batchOf, simulatedAt } from './batch-of.ts'
import { idParams } from './params.ts'
import { paperQuery, sendPdf } from './pdf.ts'
import type { Route } from './route.ts'

const labelQuery = z.object({ entry: z.uuid().meta({ description: 'the entry of the draw-up' }) })

/** Columns of a printed chart: more would not be seen. */
const POINTS = 500
/** An undiscarded batch is drawn for a day at most. */
const LONGEST_MS = 24 * 3600_000

export const printRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/batches/{id}/record.pdf',
    summary: 'The record of one batch to print, A4 or Letter, with the chart as vectors',
    params: idParams,
    query: paperQuery,
    answer: null,
    mediaType: 'application/pdf',
    handle: async ({ params, query }, response) => {
      const batch = batchOf(service, params['id'])
      const record = service.reports.record(batch)
      const bytes = await printRecord({
        record,
        readings: columnsOf(service, batch, record),
        clock: siteClock(service.config.zone),
        site: service.config.site,
        paper: (query as z.infer<typeof paperQuery>).paper,
        at: new Date(service.clock.nowMs()).toISOString(),
      })
      sendPdf(response, bytes, `${batch.settings.number}.pdf`)
    },
  },
  {
    method: 'get',
    path: '/api/batches/{id}/label.pdf',
    summary: 'A label of 62 x 40 mm for one draw-up, with a code that leads to the record',
    params: idParams,
    query: labelQuery,
    answer: null,
    mediaType: 'application/pdf',
    handle: async ({ params, query }, response, request) => {
      const batch = batchOf(service, params['id'])
      const { entry } = query as z.infer<typeof labelQuery>
      const draw = batch.draws.find((d) => d.id === entry)
      if (!draw)
        throw new ServerError('not-found', `entry ${entry} is no draw-up of this batch`, {
          fix: 'one that was taken back gets no label',
        })
      const bytes = await printLabel({
        head: batchHead(batch, simulatedAt(service, batch.bench)),
        draw: {
          at: draw.at,
          ml: draw.data.ml,
          reference: draw.data.opaque_reference ?? null,
          value: draw.data.at_draw,
        },
        address: `${originOf(request)}/batches/${batch.id}`,
        clock: siteClock(service.config.zone),
      })
      sendPdf(response, bytes, `${batch.settings.number}-label.pdf`)
    },
  },
]

const columnsOf = (service: Service, batch: Batch, record: BatchRecord): Column[] => {
  if (record.curves.spot_mode === true) return []
  const originMs = Date.parse(record.curves.origin)
  const openedMs = Date.parse(batch.openedAt)
  const endMs = Math.min(
    batch.discardedAt === null ? service.clock.nowMs() : Date.parse(batch.discardedAt),
    openedMs + LONGEST_MS,
  )
  const { points } = calibratedEnvelope(
    {
      bench: batch.bench,
      channel: 'dissolved-ozone',
      fromUs: timeUs(Math.min(openedMs, originMs) * 1000),
      toUs: timeUs(endMs * 1000),
      points: POINTS,
    },
    service,
  )
  return points.flatMap(({ time_us, min, max }): Column[] =>
    min === null || max === null ? [] : [[(time_us / 1000 - originMs) / 60_000, min, max]],
  )
}

const originOf = (request: Request): string => `${request.protocol}://${request.get('host') ?? 'localhost'}`
