import { z } from 'zod'
import type { Ledger } from '../ledger/ledger.ts'
import { approveSheet, type SheetChange, withdrawSheet, writeSheet } from '../method-sheet/change-sheet.ts'
import type { Deed, Sheet, SheetVersion } from '../method-sheet/method-sheet.ts'
import { sheetsOf } from '../method-sheet/sheets-of.ts'
import { prepTimeTrial } from '../method-sheet/shown-prep-time.ts'
import { type Caller, whoOf } from '../people/caller.ts'
import type { Service } from '../service.ts'
import type { Trial } from '../trial/trial.ts'
import { trialsOf } from '../trial/trials-of.ts'
import * as wire from '../wire/method-sheet-schema.ts'
import type { MethodSheetVersion, MethodSheetView } from '../wire.ts'
import { lotsUsed } from './lots-used.ts'
import { idParams } from './params.ts'
import type { Route } from './route.ts'

const FLUIDS = ['saline', 'distilled', 'filtered', 'other'] as const
const lotsQuery = z.object({
  fluid: z.enum(FLUIDS).optional(),
  limit: z.coerce.number().int().min(1).max(50).default(6),
})

type Asked = { id: string; who?: string | undefined; why?: string | undefined }

export const methodSheetRoutes = (service: Service): Route[] => {
  const { ledger, clock } = service
  const changeOf = (caller: Caller, sheet: string | undefined, { id, who, why }: Asked): SheetChange => ({
    id,
    sheet: sheet ?? '',
    who: whoOf(caller, who),
    why: why ?? null,
    nowMs: clock.nowMs(),
  })
  const shown = (sheet: string | undefined): MethodSheetView =>
    viewsOf(ledger).find((s) => s.sheet === sheet) as MethodSheetView
  const onVersion = (
    what: string,
    summary: string,
    body: typeof wire.approveSheet | typeof wire.withdrawSheet,
    change: typeof approveSheet,
  ): Route => ({
    method: 'post',
    path: `/api/method-sheets/{id}/${what}`,
    summary,
    params: idParams,
    body,
    answer: wire.sheetView,
    handle: ({ params, body: sent, caller }) => {
      const asked = sent as z.infer<typeof body>
      change(ledger, changeOf(caller, params['id'], asked), asked.version)
      return shown(params['id'])
    },
  })
  return [
    {
      method: 'get',
      path: '/api/method-sheets',
      summary: 'Method sheets with all their versions: which is in force, which waits for approval',
      answer: z.array(wire.sheetView),
      handle: () => viewsOf(ledger),
    },
    {
      method: 'post',
      path: '/api/method-sheets/{id}/versions',
      summary: 'Write the next version of a method sheet, or a new one under an id the client makes',
      params: idParams,
      body: wire.writeSheet,
      answer: wire.sheetView,
      handle: ({ params, body, caller }) => {
        const asked = body as z.infer<typeof wire.writeSheet>
        writeSheet(ledger, changeOf(caller, params['id'], asked), asked.after_version, asked.settings)
        return shown(params['id'])
      },
    },
    onVersion(
      'approval',
      'Approve the newest version: by another person than its writer; from then on batches open by it',
      wire.approveSheet,
      approveSheet,
    ),
    onVersion(
      'withdrawal',
      'Take a version out of use, with the reason; batches opened by it go on by it',
      wire.withdrawSheet,
      withdrawSheet,
    ),
    {
      method: 'get',
      path: '/api/lots',
      summary: 'Lots of the last batches, newest first, each once',
      query: lotsQuery,
      answer: z.array(wire.lotUsed),
      handle: ({ query }) => {
        const { fluid, limit } = query as z.infer<typeof lotsQuery>
        return lotsUsed(ledger.ofKind('batch-opened', 1000), fluid, limit)
      },
    },
  ]
}

const viewsOf = (ledger: Pick<Ledger, 'ofKind'>): MethodSheetView[] => {
  const trials = trialsOf(ledger)
  return sheetsOf(ledger).map((sheet) => sheetView(sheet, trials))
}

const sheetView = ({ sheet, versions, inForce }: Sheet, trials: readonly Trial[]): MethodSheetView => ({
  sheet,
  in_force: inForce && versionView(inForce, trials),
  versions: versions.map((version) => versionView(version, trials)).reverse(),
})

const versionView = (
  { written, approved, withdrawn, ...rest }: SheetVersion,
  trials: readonly Trial[],
): MethodSheetVersion => ({
  ...rest,
  prep_time_trial: prepTimeTrial(rest.settings, trials),
  written: deedView(written),
  approved: approved && deedView(approved),
  withdrawn: withdrawn && deedView(withdrawn),
})

const deedView = ({ at, who, why }: Deed): MethodSheetVersion['written'] => ({
  at,
  by: who.name,
  how: who.how,
  why,
})
