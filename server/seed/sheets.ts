import { v7 as uuidv7 } from 'uuid'
import type { Ledger, NewEntry } from '../ledger/ledger.ts'
import type { SheetStep } from '../ledger/method-sheet-entry.ts'
import type { MethodSheet } from '../method-sheet/method-sheet.ts'
import { rulesOf, settingsOfSheet } from '../method-sheet/sheet-of-batch.ts'
import { sheetsOf } from '../method-sheet/sheets-of.ts'
import type { Settings } from './batch-plan.ts'
import { distilledSettings, PEOPLE, salineSettings } from './clinic.ts'

/** The invented method sheets of the demonstration: two approved ones. Every number is made up. */

const steps = (last: SheetStep['text']): SheetStep[] => [
  {
    step: 'extraction-on',
    during: 'set-up',
    text: 'Extraction is running; the destruct is on the exhaust and dry.',
  },
  {
    step: 'exhaust-open',
    during: 'set-up',
    text: 'The exhaust is open; filter and check valve are in place; the flask is not above the generator.',
  },
  { step: 'no-flame', during: 'set-up', text: 'No flame, no oil or grease near the oxygen.' },
  { step: 'gas-set', during: 'set-up', text: 'Gas value and flow are set as the sheet says, and read back.' },
  { step: 'stay', during: 'bubbling', text: 'Somebody stays with the batch.' },
  { step: 'tube-clear', during: 'purge', text: last },
  {
    step: 'read-cautions',
    during: 'standing',
    text: 'The cautions about use have been read before drawing up.',
  },
  {
    step: 'discard-extraction',
    during: 'standing',
    text: 'Rest discarded under extraction, away from people and animals.',
  },
]

const sheetOf = (
  settings: Settings,
  more: Pick<MethodSheet, 'name' | 'steps' | 'bubble_again'>,
): MethodSheet => {
  const { lot: _lot, method_sheet: _sheet, ...rest } = settings
  return { ...rest, mark_ml: 1, ...more } as MethodSheet
}

const SALINE = {
  sheet: '01900000-0000-7000-8000-0000000d0001',
  settings: sheetOf(salineSettings, {
    name: 'Cold saline 250 mL (simulated)',
    bubble_again: { most_times: 1, most_ozone_min: 12 },
    steps: steps(
      'Oxygen for half a minute, then the tube clear of the fluid while gas still flows; flow off.',
    ),
  }),
}

const DISTILLED = {
  sheet: '01900000-0000-7000-8000-0000000d0002',
  settings: sheetOf(distilledSettings, {
    name: 'Distilled water 200 mL (simulated)',
    steps: steps('Tube clear of the fluid while gas still flows; lines purged; flow off.'),
  }),
}

const WRITER = PEOPLE[2]
const APPROVER = PEOPLE[0]

/** Written by one and approved by another, once. */
export const writeDemoSheets = (ledger: Ledger, atMs: number): void => {
  const there = new Set(sheetsOf(ledger).map((s) => s.sheet))
  for (const { sheet, settings } of [SALINE, DISTILLED]) {
    if (there.has(sheet)) continue
    const entry = (minute: number, name: string): Omit<NewEntry, 'kind' | 'data'> => {
      const at = new Date(atMs + minute * 60_000).toISOString()
      const who = { name, how: 'typed' } as const
      return { id: uuidv7(), happened_at: at, entered_at: at, bench: null, batch: null, who }
    }
    ledger.appendAll([
      { ...entry(0, WRITER), kind: 'method-sheet-written', data: { sheet, version: 1, settings } },
      { ...entry(30, APPROVER), kind: 'method-sheet-approved', data: { sheet, version: 1 } },
    ])
  }
}

/**
 * Opened by the demonstration's sheet, as far as that is in force as it was written: whoever tries out a new version, or
 * withdraws one, must not bring the scene to a stop.
 */
export const bySheet = (settings: Settings, ledger: Pick<Ledger, 'ofKind'>): Settings => {
  const { lot: _lot, trial: _trial, ...rest } = settings
  const inForce = sheetsOf(ledger).find(
    (s) =>
      s.inForce &&
      JSON.stringify(sorted(settingsOfSheet(s.inForce.settings))) === JSON.stringify(sorted(rest)),
  )?.inForce
  if (!inForce) return settings
  return { ...settings, method_sheet: { sheet: inForce.sheet, version: inForce.version } }
}

/** What the server adds at an opening, for history that is written past it. */
export const withRules = (settings: Settings, ledger: Pick<Ledger, 'ofKind'>): Settings => {
  const named = bySheet(settings, ledger)
  const inForce = sheetsOf(ledger).find((s) => s.sheet === named.method_sheet?.sheet)?.inForce
  return inForce ? { ...named, from_sheet: rulesOf(inForce.settings) } : named
}

const sorted = (value: Readonly<Record<string, unknown>>) =>
  Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1))
