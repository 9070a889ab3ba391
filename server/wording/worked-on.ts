interface Deed {
  readonly kind: string
  readonly who: { readonly name: string; readonly how: string }
}

/** Looking at a record and saying something of it is not working on the batch. */
const NOT_WORK: ReadonlySet<string> = new Set(['record-reviewed', 'results-kept', 'note'])

/**
 * Did this person work on the batch: open it, enter something of it, sign what was entered at a display, or handle its
 * alarms? By name, as the record has it; who entered something before anybody could sign in counts by the name typed.
 */
export const workedOn = (entries: readonly Deed[], name: string): boolean =>
  entries.some(({ kind, who }) => who.how !== 'program' && who.name === name && !NOT_WORK.has(kind))
