import { ServerError } from '../errors.ts'
import type { Entry, EntryKind } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { appendSiteEntry, type SiteChange, repeatedOr as sameIdOr } from '../ledger/site-entry.ts'
import { trialsOf } from '../trial/trials-of.ts'
import { type MethodSheet, type Sheet, type SheetVersion, samePerson } from './method-sheet.ts'
import { sheetFaults } from './sheet-faults.ts'
import { sheetsOf } from './sheets-of.ts'
import { whyNotShown } from './shown-prep-time.ts'

export interface SheetChange extends SiteChange {
  readonly sheet: string
}

/**
 * Writes the next version of a sheet, or the first of a new one. `afterVersion` is the newest the writer has seen
 * (0: a new sheet). Throws `bad-request` with every fault of the numbers, `conflict` when somebody wrote one meanwhile.
 */
export const writeSheet = (
  ledger: Ledger,
  change: SheetChange,
  afterVersion: number,
  settings: MethodSheet,
): Entry =>
  repeatedOr(ledger, change, 'method-sheet-written', () => {
    const faults = sheetFaults(settings)
    if (faults.length > 0)
      throw new ServerError('bad-request', faults.map((f) => `${f.path.join('.')}: ${f.message}`).join('; '))
    checkShown(ledger, settings)
    const there = find(ledger, change.sheet)?.versions.length ?? 0
    if (there === 0 && afterVersion > 0) throw noSuchSheet(change.sheet)
    if (there !== afterVersion)
      throw new ServerError('conflict', `version ${there} of this method sheet was written meanwhile`, {
        fix: 'look at it, then write the next one from it',
      })
    const { sheet } = change
    return appendSiteEntry(ledger, change, 'method-sheet-written', { sheet, version: there + 1, settings })
  })

/** A prep time may only be said to be shown by a trial that showed it, for these settings. */
const checkShown = (ledger: Ledger, settings: MethodSheet): void => {
  if (settings.prep_time_shown_by === undefined) return
  const why = whyNotShown(settings, trialsOf(ledger))
  if (why !== null)
    throw notPossible(
      `the trial does not show this prep time: ${why}`,
      'leave the trial out, or write the settings it was made with',
    )
}

/** Brings the newest version into force. Throws `not-possible-now` for its writer, and for one that is not waiting. */
export const approveSheet = (ledger: Ledger, change: SheetChange, version: number): Entry =>
  repeatedOr(ledger, change, 'method-sheet-approved', () => {
    const found = versionOf(ledger, change.sheet, version)
    if (found.state !== 'waiting') throw notPossible(`version ${version} ${STATE_WORDS[found.state]}`)
    if (samePerson(found.written.who.name, change.who.name))
      throw notPossible(
        `${found.written.who.name} wrote version ${version}; another person has to approve it`,
        'let another person look at it and approve it under their own name',
      )
    return appendSiteEntry(ledger, change, 'method-sheet-approved', { sheet: change.sheet, version })
  })

/** Takes a version out of use, or turns down one that waits; the reason is needed. Batches opened by it go on by it. */
export const withdrawSheet = (ledger: Ledger, change: SheetChange, version: number): Entry =>
  repeatedOr(ledger, change, 'method-sheet-withdrawn', () => {
    const found = versionOf(ledger, change.sheet, version)
    if (found.state === 'withdrawn' || found.state === 'replaced')
      throw notPossible(`version ${version} ${STATE_WORDS[found.state]}`)
    return appendSiteEntry(ledger, change, 'method-sheet-withdrawn', { sheet: change.sheet, version })
  })

const STATE_WORDS: Readonly<Record<SheetVersion['state'], string>> = {
  waiting: 'waits for approval',
  'in-force': 'is approved already',
  replaced: 'was replaced by a later one',
  withdrawn: 'was withdrawn',
}

const find = (ledger: Ledger, sheet: string): Sheet | undefined =>
  sheetsOf(ledger).find((s) => s.sheet === sheet)

const noSuchSheet = (sheet: string): ServerError =>
  new ServerError('not-found', `method sheet ${sheet} does not exist`, { fix: 'see /api/method-sheets' })

const versionOf = (ledger: Ledger, sheet: string, version: number): SheetVersion => {
  const found = find(ledger, sheet)
  if (!found) throw noSuchSheet(sheet)
  const wanted = found.versions[version - 1]
  if (!wanted)
    throw new ServerError(
      'not-found',
      `the method sheet has ${found.versions.length} versions, no ${version}`,
    )
  return wanted
}

const notPossible = (why: string, fix?: string): ServerError =>
  new ServerError('not-possible-now', why, fix === undefined ? {} : { fix })

const repeatedOr = (ledger: Ledger, { id, sheet }: SheetChange, kind: EntryKind, write: () => Entry): Entry =>
  sameIdOr(
    ledger,
    id,
    (there) => there.kind === kind && 'sheet' in there.data && there.data.sheet === sheet,
    write,
  )
