import { v7 as uuidv7 } from 'uuid'
import type { Ledger } from '../../server/ledger/ledger.ts'
import { approveSheet, writeSheet } from '../../server/method-sheet/change-sheet.ts'
import type { MethodSheet } from '../../server/method-sheet/method-sheet.ts'
import { atMinute } from './entries.ts'

export const SHEET = '01900000-0000-7000-8000-00000000e001'

/** An invented sheet; its settings are those of `OPENED` without lot and number. */
export const SHEET_SETTINGS: MethodSheet = {
  name: 'Cold saline 250 mL',
  fluid: 'saline',
  volume_ml: 250,
  target_mg_l: 15,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 500,
  prep_min: 7,
  age_limit_min: 60,
  lead_time_min: 5,
  measuring_place: 'companion-flask',
  purge: 'tube-lifted-clear',
  steps: [
    { step: 'extraction-on', during: 'set-up', text: 'Extraction is running.' },
    { step: 'stay', during: 'bubbling', text: 'Somebody stays with the batch.' },
  ],
}

export const changeBy = (name: string, more: { id?: string; why?: string; minute?: number } = {}) => ({
  id: more.id ?? uuidv7(),
  sheet: SHEET,
  who: { name, how: 'typed' as const },
  why: more.why ?? null,
  nowMs: Date.parse(atMinute(more.minute ?? -60)),
})

/** Version 1 of the sheet, written by Ruth and approved by Ines. */
export const approvedSheet = (ledger: Ledger, settings: Partial<MethodSheet> = {}): void => {
  writeSheet(ledger, changeBy('Ruth'), 0, { ...SHEET_SETTINGS, ...settings })
  approveSheet(ledger, changeBy('Ines'), 1)
}
