/** A number the trade repeats. It stands beside the physics, labelled, and never decides anything. */
export interface RuleOfThumb {
  readonly id: string
  readonly about:
    | 'plateau_mg_l'
    | 'half_life_min'
    | 'prep_time_min_per_250_ml'
    | 'flow_ml_per_min'
    | 'plateau_over_gas'
  readonly low: number
  readonly high: number
  readonly words: string
  readonly origin: 'common practice, no source'
}

const origin = 'common practice, no source'

export const rulesOfThumb: readonly RuleOfThumb[] = [
  {
    id: 'plateau',
    about: 'plateau_mg_l',
    low: 20,
    high: 35,
    words: 'levels off at 20 to 35 µg/mL; physics: only cold, or with gas of 80 µg/mL and more',
    origin,
  },
  {
    id: 'quarter-of-gas',
    about: 'plateau_over_gas',
    low: 0.25,
    high: 0.25,
    words: 'a quarter of the gas concentration; physics: right near 20 °C, 0.43 at 5 °C',
    origin,
  },
  {
    id: 'half-life',
    about: 'half_life_min',
    low: 30,
    high: 30,
    words: 'half-life about 30 min; physics: plausible, not universal',
    origin,
  },
  {
    id: 'prep-time',
    about: 'prep_time_min_per_250_ml',
    low: 5,
    high: 5,
    words: 'bubble 5 min per 250 mL; physics: about 88 to 95 % of the plateau at 0.43 to 0.6 per min',
    origin,
  },
  {
    id: 'flow',
    about: 'flow_ml_per_min',
    low: 125,
    high: 500,
    words: 'gas flow 125 to 500 mL/min',
    origin,
  },
]

/** A single number in common use means "about": it is read as ± 20 %. */
export const ABOUT = 0.2
