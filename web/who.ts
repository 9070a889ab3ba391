import type { SessionView } from '../server/wire.ts'
import { useTypedName } from './remembered.ts'
import { useSession } from './session.ts'

/** Who enters things at this screen. */
export type Actor =
  /** Nobody can sign in yet: a name is typed. */
  | { readonly kind: 'typed' }
  | { readonly kind: 'person'; readonly name: string }
  /** A shared display and nobody has said who: what stops gas can be entered all the same. */
  | { readonly kind: 'display' }
  | { readonly kind: 'reader'; readonly name: string; readonly why: 'role' | 'idle' }

export const actorOf = (session: SessionView | null): Actor => {
  if (session === null || !session.set_up) return { kind: 'typed' }
  const { person, display } = session
  if (person === null || (person.idle && display !== null)) return { kind: 'display' }
  if (person.idle) return { kind: 'reader', name: person.name, why: 'idle' }
  if (person.acts_as === 'viewer') return { kind: 'reader', name: person.name, why: 'role' }
  return { kind: 'person', name: person.name }
}

export const useActor = (): Actor => actorOf(useSession()[0])

/** The name under which things are entered here; empty while none is known. */
export const useWho = (): [string, (name: string) => void] => {
  const [typed, setTyped] = useTypedName()
  const actor = useActor()
  return [actor.kind === 'typed' ? typed : actor.kind === 'person' ? actor.name : '', setTyped]
}

/** Entries that may be made at a shared display before anybody says who; signed afterwards. */
export const AT_A_DISPLAY: readonly string[] = ['ozone-off', 'flow-off', 'discarded']

/** May this be entered here without a name? */
export const mayWithoutName = (actor: Actor, kind: string, whenTyped: readonly string[]): boolean =>
  actor.kind === 'typed' ? whenTyped.includes(kind) : actor.kind === 'display' && AT_A_DISPLAY.includes(kind)
