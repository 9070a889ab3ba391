/** What a verdict can be about. */
export type Judged =
  | 'plateau_mg_l'
  | 'plateau_over_gas'
  | 'plateau_over_equilibrium'
  | 'rate_per_min'
  | 't95_min'
  | 'half_life_min'
  | 'half_life_20c_min'
  | 'above_target_min'
  | 'flow_ml_per_min'

/** Those with causes of their own; the rest share them or, being settings, need none. */
type Explained = 'plateau_mg_l' | 'rate_per_min' | 't95_min' | 'half_life_min' | 'half_life_20c_min'

/** Likely causes in trade words, most likely first. From practice and the physics of the bubbler; they blame no one. */
const causes: Record<Explained, { readonly above: readonly string[]; readonly below: readonly string[] }> = {
  plateau_mg_l: {
    above: [
      'fluid colder than recorded',
      'gas set higher than recorded, or stated at another reference state',
      'meter calibrated in water and used in saline reads about 5 % high',
      'meter calibrated against another reference method',
    ],
    below: [
      'gas set lower than recorded, or stated at another reference state',
      'fluid warmer than recorded',
      'leak before the flask',
      'impure fluid: ozone is used up while it bubbles',
      'meter due for calibration',
    ],
  },
  rate_per_min: {
    above: [
      'wrong flow unit or volume recorded',
      'less fluid in the flask than recorded',
      'bubbles on the probe',
    ],
    below: [
      'probe lag taken for slow filling',
      'flow lower than recorded',
      'clogged diffuser: large bubbles',
      'more fluid in the flask than recorded',
    ],
  },
  t95_min: {
    above: [
      'probe lag taken for slow filling',
      'flow lower than recorded',
      'clogged diffuser: large bubbles',
    ],
    below: ['wrong flow unit or volume recorded', 'less fluid in the flask than recorded'],
  },
  half_life_min: {
    above: [
      'fluid colder than recorded',
      'zero offset of the meter',
      'covered flask: little is lost to the air',
    ],
    below: [
      'oxygen still flowing through the fluid',
      'fluid warmer than recorded',
      'impure fluid or flask',
      'open or half-empty flask: ozone is lost to the air',
    ],
  },
  half_life_20c_min: {
    above: ['zero offset of the meter', 'purer fluid than usual', 'covered flask: little is lost to the air'],
    below: [
      'oxygen still flowing through the fluid',
      'impure fluid, lot or flask',
      'ozone is lost to the air',
    ],
  },
}

export const likelyCauses = (about: Judged, direction: 'above' | 'below'): readonly string[] => {
  switch (about) {
    case 'plateau_over_gas':
    case 'plateau_over_equilibrium':
      return causes.plateau_mg_l[direction]
    case 'above_target_min':
      return causes.half_life_min[direction]
    case 'flow_ml_per_min':
      return []
    default:
      return causes[about][direction]
  }
}

/** Faster than the gas can bring ozone: no diffuser does that. */
export const IMPOSSIBLE_RATE =
  'faster than the gas can bring ozone: wrong flow unit, wrong volume or a probe artefact'
