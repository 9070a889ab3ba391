import type { BatchHead } from '../wire.ts'

/** Cautions in plain words, shown at the moment each one matters and again on the record. */
export interface Caution {
  readonly head: string
  readonly text: string
}

export const BREATHING: Caution = {
  head: 'Breathing',
  text: 'Ozone must not be breathed, and smell is no warning. Extraction or ventilation running, an ozone destruct on the exhaust, kept dry. Opening, pouring and discarding are exposures too: under extraction, away from people and animals.',
}

export const PRESSURE: Caution = {
  head: 'Pressure and backflow',
  text: 'Never bubble into a closed flask: a blocked exhaust or a wet destruct builds pressure. Hydrophobic filter and check valve in place, flask not above the generator. At the end take the tube clear of the fluid, or disconnect at the flask, while gas still flows; then shut the flow.',
}

export const PURGING: Caution = {
  head: 'Purge',
  text: 'Clear the lines the way the equipment’s instructions say. Oxygen through the fluid carries ozone out of it: 30 to 60 % in one minute at usual rates. Take the tube clear of the fluid, or disconnect at the flask, while gas still flows; then shut the flow.',
}

export const OXYGEN: Caution = {
  head: 'Oxygen',
  text: 'Oxygen feeds fire: no flame, no oil or grease, ozone-compatible materials only.',
}

export const STERILITY: Caution = {
  head: 'Sterility',
  text: 'A probe that is not sterile makes the fluid not sterile. Measure an aliquot or a companion flask unless local rules allow the probe in the flask.',
}

export const USE: Caution = {
  head: 'Use',
  text: 'A concentration says nothing about sterility, endotoxin, tonicity, particles, by-products or fitness for injection. Distilled water is hypotonic. Ozone-treated fluid may be an unapproved product where you are. Fluid, route and amount belong to licensed practice and local rules.',
}

export const BY_PRODUCTS: Caution = {
  head: 'By-products',
  text: 'Hypochlorite, chlorate and bromate are reported by some and not by others. Bubbling the same fill again, alkaline fluid and storage raise the concern.',
}

export const ALL_CAUTIONS = [BREATHING, PRESSURE, PURGING, OXYGEN, STERILITY, USE, BY_PRODUCTS] as const

export const ARITHMETIC_ONLY = 'Arithmetic only. Not a dose. The prescriber decides.'

export const NOT_A_DEVICE =
  'Monitors and records. Not a medical device, and not for deciding whether or how to treat.'

export const ROOM_NOT_MEASURED = 'Room ozone: not measured. The program cannot tell whether the air is safe.'

export const RULES_WIN = 'The equipment’s instructions and local rules win over this list.'

export const beforeOzoneOn = (batch: BatchHead | null): readonly Caution[] => {
  const always = [BREATHING, PRESSURE, OXYGEN]
  return batch?.measuring_place === 'in-the-flask' || batch?.measuring_place === 'dipped'
    ? [...always, STERILITY]
    : always
}
