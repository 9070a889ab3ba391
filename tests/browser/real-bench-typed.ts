/** What the person of the real-bench test enters. Invented. */

/** A calibration as the form asks for it: label and text. */
export const CALIBRATION = [
  ['Slope', '1'],
  ['Zero', '0'],
  ['Uncertainty of the slope', '2'],
  ['Uncertainty of the zero', '0.05'],
  ['Reference method', 'indigo, simulated'],
  ['Probe response time', '2'],
  ['Its uncertainty', '0.2'],
  ['Your name', 'M. Example'],
] as const

/** What is chosen when a batch is opened. */
export const CHOSEN = [
  ['Fluid', 'saline'],
  ['Measuring place', 'in-the-flask'],
  ['Purge', 'tube-lifted-clear'],
  ['Gas value stated', 'normal-0c-101kpa'],
] as const

/** What is typed when a batch is opened; the comma stands for a decimal point. */
export const TYPED = [
  ['Volume', '250'],
  ['Lot', 'L 4471'],
  ['Value you set', '4,5'],
  ['Gas value', '60'],
  ['Gas flow', '400'],
  ['Prep time', '1'],
  ['Age limit', '60'],
  ['How long from draw-up to use', '5'],
] as const
