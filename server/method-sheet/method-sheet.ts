import type { z } from 'zod'
import type { EntryOf, methodSheet, Who } from '../ledger/entry.ts'

export type MethodSheet = z.infer<typeof methodSheet>

/** One version as it was written; it never changes. Who approved or withdrew it, and when, comes from later entries. */
export interface SheetVersion {
  readonly sheet: string
  readonly version: number
  readonly settings: MethodSheet
  readonly written: Deed
  readonly approved: Deed | null
  readonly withdrawn: Deed | null
  readonly state: VersionState
}

/** `replaced`: a later version was approved. What is replaced or withdrawn never comes back into force by itself. */
export type VersionState = 'waiting' | 'in-force' | 'replaced' | 'withdrawn'

export interface Deed {
  readonly at: string
  readonly who: Who
  readonly why: string | null
}

export interface Sheet {
  readonly sheet: string
  /** Oldest first; version n stands at n − 1. */
  readonly versions: readonly SheetVersion[]
  readonly inForce: SheetVersion | null
}

export type SheetEntry = EntryOf<'method-sheet-written' | 'method-sheet-approved' | 'method-sheet-withdrawn'>

/** A sheet is a fold over its entries, in their order. Sheets in the order they were first written. */
export const foldSheets = (entries: readonly SheetEntry[]): Sheet[] => {
  const bySheet = new Map<string, SheetEntry[]>()
  for (const entry of entries)
    bySheet.set(entry.data.sheet, [...(bySheet.get(entry.data.sheet) ?? []), entry])
  return [...bySheet].map(([sheet, own]) => foldSheet(sheet, own))
}

const foldSheet = (sheet: string, entries: readonly SheetEntry[]): Sheet => {
  const approvals = entries.filter((e) => e.kind === 'method-sheet-approved')
  const newest = Math.max(0, ...approvals.map((e) => e.data.version))
  const versions = entries
    .filter((e) => e.kind === 'method-sheet-written')
    .map(({ data, ...entry }): SheetVersion => {
      const deed = (kind: SheetEntry['kind']): Deed | null => {
        const found = entries.find((e) => e.kind === kind && e.data.version === data.version)
        return found ? deedOf(found) : null
      }
      const approved = deed('method-sheet-approved')
      const withdrawn = deed('method-sheet-withdrawn')
      return {
        sheet,
        version: data.version,
        settings: data.settings,
        written: deedOf(entry),
        approved,
        withdrawn,
        state: stateOf(data.version, newest, approved, withdrawn),
      }
    })
  return { sheet, versions, inForce: versions.find((v) => v.state === 'in-force') ?? null }
}

const stateOf = (
  version: number,
  newestApproved: number,
  approved: Deed | null,
  withdrawn: Deed | null,
): VersionState => {
  if (withdrawn) return 'withdrawn'
  if (version < newestApproved) return 'replaced'
  return approved ? 'in-force' : 'waiting'
}

const deedOf = (entry: Pick<SheetEntry, 'happened_at' | 'who' | 'why'>): Deed => ({
  at: entry.happened_at,
  who: entry.who,
  why: entry.why,
})

/** Two spellings of one name are one person. */
export const samePerson = (a: string, b: string): boolean => plainName(a) === plainName(b)

const plainName = (name: string): string =>
  name.normalize('NFKC').trim().replace(/\s+/g, ' ').toLocaleLowerCase('en')
