import type { Ledger } from '../ledger/ledger.ts'
import { foldSheets, type Sheet, type SheetEntry } from './method-sheet.ts'

const KINDS = ['method-sheet-written', 'method-sheet-approved', 'method-sheet-withdrawn'] as const

/** All sheets of the clinic, from the ledger. */
export const sheetsOf = (ledger: Pick<Ledger, 'ofKind'>): Sheet[] =>
  foldSheets(KINDS.flatMap((kind): SheetEntry[] => ledger.ofKind(kind)).sort((a, b) => a.seq - b.seq))
