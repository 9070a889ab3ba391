import type { Request } from 'express'
import type { z } from 'zod'
import { ServerError } from '../errors.ts'
import { foldBatch } from '../ledger/batch.ts'
import { type EntryOf, entrySchema } from '../ledger/entry.ts'
import type { Caller } from '../people/caller.ts'
import type { Person } from '../people/person.ts'
import { notSetUp, personOf } from '../people/present.ts'
import { prove } from '../people/proving.ts'
import { reaches } from '../people/role.ts'
import type { Service } from '../service.ts'
import { entries, reviewWanted, signatureWanted } from '../wire/people-schema.ts'
import { workedOn } from '../wording/worked-on.ts'
import { idParams } from './params.ts'
import type { Route } from './route.ts'
import { addressOf } from './session-routes.ts'

/** What a person puts their name to, with PIN or password typed again. */
export const signatureRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/unsigned',
    summary: 'What was entered at paired displays and nobody has signed yet',
    answer: entries,
    handle: () => ({ entries: service.ledger.unsigned() }),
  },
  {
    method: 'post',
    path: '/api/entries/{id}/signature',
    summary: 'Sign what was entered at a paired display: it was this person',
    params: idParams,
    body: signatureWanted,
    answer: entrySchema,
    handle: ({ params, body, caller }, _response, request) =>
      sign(params['id'] ?? '', body as z.infer<typeof signatureWanted>, { service, caller, request }),
  },
  {
    method: 'post',
    path: '/api/batches/{id}/review',
    summary: 'Put one’s name to the record of a discarded batch as it stands',
    params: idParams,
    body: reviewWanted,
    answer: entrySchema,
    handle: ({ params, body, caller }, _response, request) =>
      review(params['id'] ?? '', body as z.infer<typeof reviewWanted>, { service, caller, request }),
  },
]

interface Asked {
  readonly service: Service
  readonly caller: Caller
  readonly request: Request
}

const sign = async (
  entryId: string,
  { id, person: whose, secret }: z.infer<typeof signatureWanted>,
  { service, caller, request }: Asked,
): Promise<EntryOf<'signed'>> => {
  const { ledger, people } = service
  const entry = ledger.byId(entryId.toLowerCase())
  if (!entry) throw new ServerError('not-found', `there is no entry ${entryId}`)
  if (caller.kind === 'open') throw notSetUp()
  const signer = whose === undefined ? personOf(caller).person : people.persons.byId(whose)
  const typed = whose ?? ''
  const address = addressOf(request)
  const { person } = await prove(people, {
    person: signer,
    typed,
    secret,
    kinds: ['pin', 'password'],
    address,
  })
  if (!reaches(person.role, 'operator'))
    throw new ServerError('not-allowed', `${person.name} is a viewer and cannot have entered this`)
  if (ledger.byId(id) === undefined && !ledger.unsigned().some((e) => e.id === entry.id))
    throw new ServerError('not-possible-now', 'this entry waits for no signature', {
      fix: 'somebody else may have signed it meanwhile',
    })
  return ledger.append<'signed'>({
    ...stampOf(service, id, person),
    bench: entry.bench,
    batch: entry.batch,
    kind: 'signed',
    data: { entry: entry.id },
  }).entry as EntryOf<'signed'>
}

const review = async (
  batchId: string,
  { id, meaning, secret, expected_seq }: z.infer<typeof reviewWanted>,
  { service, caller, request }: Asked,
): Promise<EntryOf<'record-reviewed'>> => {
  const { ledger, people } = service
  const mine = personOf(caller)
  const address = addressOf(request)
  const proof = { person: mine.person, typed: mine.person.name, secret, address }
  const { person } = await prove(people, { ...proof, kinds: ['pin', 'password'] })
  const batch = foldBatch(ledger.ofBatch(batchId))
  if (!batch) throw new ServerError('not-found', `batch ${batchId} does not exist`)
  if (batch.discardedAt === null)
    throw new ServerError('not-possible-now', `batch ${batch.settings.number} is not discarded yet`, {
      fix: 'review it when it is finished',
    })
  const open = ledger.unsigned().filter((e) => e.batch === batchId).length
  if (open > 0)
    throw new ServerError('not-possible-now', `${open} of its entries are not signed yet`, {
      fix: 'let those sign who made them, then review',
    })
  const head = ledger.head()
  return ledger.append<'record-reviewed'>({
    ...stampOf(service, id, person),
    bench: batch.bench,
    batch: batchId,
    kind: 'record-reviewed',
    data: {
      meaning,
      ledger_entries: head.entries,
      ledger_head: head.head,
      also_worked: workedOn(batch.entries, person.name),
    },
    expectedSeq: expected_seq,
  }).entry as EntryOf<'record-reviewed'>
}

const stampOf = ({ clock }: Service, id: string, { name }: Person) => {
  const at = new Date(clock.nowMs()).toISOString()
  return { id, happened_at: at, entered_at: at, who: { name, how: 'signed-in' as const } }
}
