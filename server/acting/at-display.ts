import { ServerError } from '../errors.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { Caller } from '../people/caller.ts'
import { AT_A_DISPLAY } from '../people/needs.ts'
import type { Action } from '../wire.ts'

/**
 * At a paired display, before anybody says who: only what stops gas or ends a batch, and taking such a tap back. It is
 * signed afterwards.
 */
export const checkAtDisplay = (caller: Caller, entry: Action, ledger: Pick<Ledger, 'byId'>): void => {
  if (caller.kind !== 'display' || AT_A_DISPLAY.has(entry.kind)) return
  if (entry.kind === 'undone' && ledger.byId(entry.data.entry)?.who.how === 'unsigned') return
  throw new ServerError('not-signed-in', `${entry.kind} needs a person: this display alone only shows`, {
    fix: 'pick your name and enter your PIN',
  })
}
