import { z } from 'zod'
import type { EntryKind } from '../ledger/entry.ts'
import { PEOPLE_ENTRY_DATA } from '../ledger/people-entry.ts'
import { DISPLAY_COOKIE, DISPLAY_MAX_AGE_S, SESSION_COOKIE, setCookie } from '../people/cookies.ts'
import type { Display } from '../people/display.ts'
import {
  addPerson,
  changeRole,
  type Invited,
  invite,
  pairDisplay,
  revokeDisplay,
  setActive,
} from '../people/managing.ts'
import type { Person } from '../people/person.ts'
import { personOf } from '../people/present.ts'
import type { Service } from '../service.ts'
import {
  activityWanted,
  displayView,
  displayWanted,
  entries,
  invited,
  nothingWanted,
  personView,
  personWanted,
  roleWanted,
} from '../wire/people-schema.ts'
import { idParams } from './params.ts'
import type { Route } from './route.ts'

const HISTORY: readonly EntryKind[] = (Object.keys(PEOPLE_ENTRY_DATA) as EntryKind[]).filter((kind) =>
  kind.startsWith('people-'),
)
const historyQuery = z.object({
  before: z.coerce
    .number()
    .int()
    .positive()
    .optional()
    .meta({ description: 'sequence: only entries older than it' }),
  limit: z.coerce.number().int().min(1).max(200).default(200),
})

/** People and paired displays, for administrators. */
export const peopleRoutes = ({ people, ledger, secureCookies }: Service): Route[] => [
  {
    method: 'get',
    path: '/api/people',
    summary: 'Everybody who can, or could, sign in',
    answer: personView.array(),
    handle: () => people.persons.all().map(viewOf),
  },
  {
    method: 'get',
    path: '/api/people/history',
    summary: 'Sign-ins, lock-outs and changes of people and displays, newest first',
    query: historyQuery,
    answer: entries,
    handle: ({ query }) => {
      const { before, limit } = query as z.infer<typeof historyQuery>
      return { entries: ledger.newestOfKinds(HISTORY, limit, before) }
    },
  },
  {
    method: 'post',
    path: '/api/people',
    summary: 'Add a person; the answer holds a one-time link to hand over',
    body: personWanted,
    answer: invited,
    handle: ({ body, caller }) =>
      invitedView(addPerson(people, personOf(caller).person.name, body as z.infer<typeof personWanted>)),
  },
  {
    method: 'post',
    path: '/api/people/{id}/role',
    summary: 'Give a person another role; their sessions end',
    params: idParams,
    body: roleWanted,
    answer: personView,
    handle: ({ params, body, caller }) => {
      const { role } = body as z.infer<typeof roleWanted>
      return viewOf(changeRole(people, personOf(caller).person.name, params['id'] ?? '', role))
    },
  },
  {
    method: 'post',
    path: '/api/people/{id}/activity',
    summary: 'Deactivate a person, or take them back; nobody is ever deleted',
    params: idParams,
    body: activityWanted,
    answer: personView,
    handle: ({ params, body, caller }) => {
      const { active } = body as z.infer<typeof activityWanted>
      return viewOf(setActive(people, personOf(caller).person.name, params['id'] ?? '', active))
    },
  },
  {
    method: 'post',
    path: '/api/people/{id}/link',
    summary: 'A new one-time link for somebody who lost password or PIN',
    params: idParams,
    body: nothingWanted,
    answer: invited,
    handle: ({ params, caller }) =>
      invitedView(invite(people, personOf(caller).person.name, params['id'] ?? '')),
  },
  {
    method: 'get',
    path: '/api/displays',
    summary: 'Displays that are, or were, paired',
    answer: displayView.array(),
    handle: () => people.displays.all().map(displayViewOf),
  },
  {
    method: 'post',
    path: '/api/displays',
    summary: 'Make the browser that asks a shared display; who asks is signed out of it',
    body: displayWanted,
    answer: displayView.array(),
    handle: ({ body, caller }, response) => {
      const { id, name } = body as z.infer<typeof displayWanted>
      const token = pairDisplay(people, personOf(caller), id, name)
      response.append('set-cookie', setCookie(DISPLAY_COOKIE, token, DISPLAY_MAX_AGE_S, secureCookies))
      response.append('set-cookie', setCookie(SESSION_COOKIE, '', 0, secureCookies))
      return people.displays.all().map(displayViewOf)
    },
  },
  {
    method: 'post',
    path: '/api/displays/{id}/revocation',
    summary: 'A display that shows nothing any more until it is paired again',
    params: idParams,
    body: nothingWanted,
    answer: displayView.array(),
    handle: ({ params, caller }) => {
      revokeDisplay(people, personOf(caller).person.name, params['id'] ?? '')
      return people.displays.all().map(displayViewOf)
    },
  },
]

const viewOf = ({ id, name, role, active, password, pin }: Person): z.infer<typeof personView> => ({
  id,
  name,
  role,
  active,
  has_password: password !== null,
  has_pin: pin !== null,
})

const invitedView = ({ person, token, untilMs }: Invited): z.infer<typeof invited> => ({
  person: viewOf(person),
  link: `/welcome#${token}`,
  until: new Date(untilMs).toISOString(),
})

const displayViewOf = (display: Display): z.infer<typeof displayView> => ({
  id: display.id,
  name: display.name,
  paired_at: new Date(display.pairedMs).toISOString(),
  paired_by: display.pairedBy,
  revoked_at: display.revokedMs === null ? null : new Date(display.revokedMs).toISOString(),
})
