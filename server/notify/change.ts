import type { EntryOf } from '../ledger/entry.ts'

/**
 * What a change of an alarm's state means to somebody who is not there. `seen`: a person has dealt with it (acknowledged,
 * shelved, taken out of service). `nothing`: nobody needs to be told.
 */
export type Change = 'raised' | 'raised-again' | 'seen' | 'returned' | 'no-longer-applies' | 'nothing'

const NOT_SHOWN_BEFORE: ReadonlySet<string> = new Set(['normal', 'suppressed-by-design'])

export const changeOf = ({ from, to }: EntryOf<'alarm'>['data']): Change => {
  switch (to) {
    case 'unacknowledged':
      return NOT_SHOWN_BEFORE.has(from) ? 'raised' : 'raised-again'
    case 'acknowledged':
    case 'shelved':
    case 'out-of-service':
      return 'seen'
    case 'returned-unacknowledged':
      return 'returned'
    case 'suppressed-by-design':
      return 'no-longer-applies'
    case 'normal':
      // it had returned before; now somebody has seen that
      return from === 'returned-unacknowledged' ? 'nothing' : 'returned'
    default:
      return 'nothing'
  }
}
