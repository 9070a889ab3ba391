import type { BatchRecord, EntryView, RoleName } from '../wire.ts'
import type { SiteClock } from './site-clock.ts'

type PeopleKind = Extract<EntryView['kind'], `people-${string}` | 'signed' | 'record-reviewed'>

/** What happened with people, displays and signatures, in words. */
export const PEOPLE_ENTRY_TEXT: Readonly<Record<PeopleKind, string>> = {
  'people-added': 'Person added',
  'people-role': 'Role changed',
  'people-active': 'Deactivated or taken back',
  'people-secret': 'Password, PIN or link',
  'people-signed-in': 'Signed in',
  'people-signed-out': 'Signed out',
  'people-locked-out': 'Wrong tries: made to wait',
  'people-display-paired': 'Display paired',
  'people-display-revoked': 'Display revoked',
  signed: 'Signed',
  'record-reviewed': 'Record reviewed',
}

const HOW: Readonly<Record<EntryView['who']['how'], string>> = {
  typed: 'name typed',
  'signed-in': 'signed in',
  program: 'the program',
  unsigned: 'waits for a signature',
}

/** Whose an entry is, and how that is known. */
export const whoWords = ({ who }: EntryView, signature: EntryView | undefined, clock: SiteClock): string =>
  signature === undefined
    ? `${who.name} (${HOW[who.how]})`
    : `${who.name.replace(/^not signed yet \((.*)\)$/, 'entered at $1')}, signed by ${signature.who.name} ${clock.full(signature.entered_at)}`

/** Who put their name to a record, and whether it is still what they looked at. */
export const reviewWords = (review: BatchRecord['review'], clock: SiteClock): string => {
  if (review === null) return 'Not reviewed.'
  const done = review.meaning === 'approved' ? 'approved' : 'reviewed'
  const said = `${done === 'approved' ? 'Approved' : 'Reviewed'} by ${review.by}${review.also_worked ? ', who also worked on the batch' : ''}, ${clock.full(review.at)}; covers ${review.ledger_entries} entries, head ${review.ledger_head}.`
  return review.changed ? `Changed since it was ${done} by ${review.by}. ${said}` : said
}

export const ROLE: Readonly<Record<RoleName, string>> = {
  viewer: 'viewer: reads',
  operator: 'operator: enters what happens at a bench',
  reviewer: 'reviewer: also reviews records, calibrates and sets alarms',
  administrator: 'administrator: also people, displays and wiring',
}

const BY = { password: 'with a password', pin: 'with a PIN', link: 'with a one-time link' } as const
const SECRET = {
  password: 'a new password was set for',
  pin: 'a new PIN was set for',
  'link-made': 'a one-time link was made for',
} as const
const OUT = {
  'by-hand': '',
  switched: 'somebody else, or the same person again, signed in',
  'display-paired': 'the screen became a shared display',
} as const

export const peopleWords = (kind: PeopleKind, data: EntryView['data']): string => {
  const text = (key: string) => String(data[key])
  const from = <T extends Readonly<Record<string, string>>>(words: T, key: string) =>
    words[text(key)] ?? text(key)
  switch (kind) {
    case 'people-added':
      return `${text('name')} as ${text('role')}`
    case 'people-role':
      return `${text('name')}: ${text('from')} becomes ${text('to')}`
    case 'people-active':
      return `${text('name')} ${data['active'] === true ? 'taken back' : 'deactivated'}`
    case 'people-secret':
      return `${from(SECRET, 'what')} ${text('name')}`
    case 'people-signed-in': {
      const at = data['display'] === null ? '' : ` at display ${text('display')}`
      const failed = Number(data['failed_before'])
      return `${from(BY, 'by')}${at}${failed === 0 ? '' : `, after ${failed} wrong ${failed === 1 ? 'try' : 'tries'}`}`
    }
    case 'people-signed-out':
      return from(OUT, 'why')
    case 'people-locked-out':
      return `${data['name'] === null ? 'a name that is nobody’s' : text('name')} from ${text('address')}: ${text('tries')} in a row, wait of ${text('wait_s')} s`
    case 'people-display-paired':
    case 'people-display-revoked':
      return text('name')
    case 'signed':
      return 'an entry made at a display'
    case 'record-reviewed':
      return `${text('meaning')}${data['also_worked'] === true ? ' by somebody who also worked on it' : ''}; covers ${text('ledger_entries')} entries, head ${text('ledger_head').slice(0, 12)}…`
    default:
      return kind satisfies never
  }
}
