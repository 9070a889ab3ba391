import type { Act, Action, EntryView, Phase } from '../server/wire.ts'

/** When a person says that something happened. `now` leaves the time to the server's clock. */
export type When =
  | { readonly kind: 'now' }
  | { readonly kind: 'ago'; readonly seconds: number }
  | { readonly kind: 'at'; readonly at_ms: number }

export interface Acting {
  readonly id: string
  readonly bench: string
  /** Null: at a shared display before anybody said who. */
  readonly who: string | null
  readonly expected_seq: number
  readonly when: When
  readonly now_ms: number
  readonly why?: string
}

/** What is sent to the ledger. The id is made once per press, so sending it again never enters it twice. */
export const actOf = (entry: Action, { id, bench, who, expected_seq, when, now_ms, why }: Acting): Act => {
  const happened = happenedAt(when, now_ms)
  return {
    id,
    bench,
    ...(who === null ? {} : { who: who.trim() === '' ? NO_NAME : who.trim() }),
    expected_seq,
    entry,
    ...(happened === null ? {} : { happened_at: happened }),
    ...(why === undefined || why.trim() === '' ? {} : { why: why.trim() }),
  }
}

/** Stands where a name is missing: stopping the ozone must not wait for typing. */
export const NO_NAME = 'name not given'

const happenedAt = (when: When, now_ms: number): string | null => {
  switch (when.kind) {
    case 'now':
      return null
    case 'ago':
      return new Date(now_ms - when.seconds * 1000).toISOString()
    case 'at':
      return new Date(Math.min(when.at_ms, now_ms)).toISOString()
    default:
      return when satisfies never
  }
}

/** The sequence to go behind when nothing but the program's own entries came between; null when a person's did. */
export const behindProgram = (newer: readonly EntryView[]): number | null =>
  newer.length > 0 && newer.every((entry) => entry.who.how === 'program')
    ? Math.max(...newer.map((entry) => entry.seq))
    : null

/** Entries with nothing to type, as big buttons offer them. */
export type PlainKind = Extract<
  Action['kind'],
  'ozone-on' | 'ozone-off' | 'flow-off' | 'disconnected' | 'probe-in' | 'probe-out' | 'discarded'
>

export const ACTION_TEXT: Readonly<Record<PlainKind, string>> = {
  'ozone-on': 'Ozone on',
  'ozone-off': 'Ozone off',
  'flow-off': 'Flow off',
  disconnected: 'Disconnected',
  'probe-in': 'Probe in',
  'probe-out': 'Probe out',
  discarded: 'Discard',
}

/** These may be entered before a name is typed, and signed afterwards with a note. */
export const WITHOUT_NAME: readonly Action['kind'][] = ['ozone-off', 'flow-off', 'discarded', 'disconnected']

/** The entries that belong to a phase; every other one stays within reach under "Other entries". */
export const mainActions = (phase: Phase['kind']): readonly PlainKind[] => {
  switch (phase) {
    case 'set-up':
      return ['ozone-on', 'discarded']
    case 'bubbling':
      return ['ozone-off']
    case 'purge':
      return ['flow-off']
    case 'standing':
      return ['discarded']
    case 'no-batch':
    case 'discarded':
      return []
    default:
      return phase satisfies never
  }
}

export const otherActions = (phase: Phase['kind']): readonly PlainKind[] =>
  phase === 'no-batch' || phase === 'discarded'
    ? []
    : (Object.keys(ACTION_TEXT) as PlainKind[]).filter((kind) => !mainActions(phase).includes(kind))
