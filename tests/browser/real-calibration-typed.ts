/** What the person of the real-calibration test types: label and text. Invented; the comma stands for a decimal point. */

/** (40 − 25.5)/0.84 = 17.262; 2 min at a half-life of 30 min lose 4.516 %: 18.078. */
export const INDIGO = {
  'Dye lot of the sample': '8',
  'f of this lot': '0,42',
  '± of f of this lot (1 s)': '0.0042',
  Blank: '0.40',
  '± of blank (1 s)': '0.002',
  Sample: '0.25',
  '± of sample (1 s)': '0.002',
  Path: '1',
  '± of path (1 s)': '0',
  'Volume of sample': '2',
  '± of volume of sample (1 s)': '0.01',
  'Reagent and sample': '102',
  '± of reagent and sample (1 s)': '0',
  'From draw to measurement': '2',
  '± of from draw to measurement (1 s)': '0',
  'Half-life': '30',
  '± of half-life (1 s)': '0',
} as const

/** 0.6769 · 1.2 · 20 = 16.25, in saline at most that. */
export const DPD = {
  'The photometer shows': '1.2',
  '± of the photometer shows (1 s)': '0.02',
  Dilution: '20',
  '± of dilution (1 s)': '0.1',
} as const

/** A zero and what the meter showed for the sample. */
export const POINTS = {
  'Point 1: reference': '0',
  'Point 1: its ±': '0',
  'Point 1: shown': '0.1',
  'Point 1: shown ±': '0.02',
  'Point 2: shown': '18.2',
  'Point 2: shown ±': '0.05',
} as const

/** A third level, within 5 % of the span. */
export const THIRD = {
  'Point 3: reference': '9',
  'Point 3: its ±': '0.1',
  'Point 3: shown': '9.2',
  'Point 3: shown ±': '0.05',
  'Acceptance limit': '5',
} as const
