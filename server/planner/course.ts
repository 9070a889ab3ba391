/** How one batch would go, from ozone-on to when it falls to the target, by rates that are taken as known. Pure. */

export interface Rates {
  /** What the fluid levels off at while ozone bubbles, mg/L. */
  readonly plateauMgPerL: number
  /** Gas into the fluid and out of it, k_app, 1/min. */
  readonly transferPerMin: number
  /** Loss in the fluid itself, k_d, 1/min. */
  readonly decayPerMin: number
}

export interface Doing {
  readonly volumeMl: number
  /** Ozone in the gas as it flows, µg/mL at ambient temperature and pressure. */
  readonly gasUgPerMl: number
  readonly flowMlPerMin: number
  /** Ozone on, min; left out: until 95 % of what it levels off at. */
  readonly prepMin?: number
  readonly purgeMin: number
  readonly purgeThroughFluid: boolean
  readonly targetMgPerL?: number
}

export interface Course {
  readonly plateau_mg_l: number
  readonly t95_min: number
  readonly ozone_off_mg_l: number
  readonly purge_lost_percent: number
  readonly flow_off_mg_l: number
  /** From flow-off on, at the temperature of the bubbling; 0 when it is not above then. Absent without a target. */
  readonly above_target_min?: number
  /** From ozone-on until potency reaches the target; infinite when it levels off below. Absent without a target. */
  readonly reaches_target_min?: number
  readonly vented_mg: number
  readonly flask_mg: number
}

/**
 * From ozone-free fluid: C = Css(1 − e^(−kt)), k = k_app + k_d; oxygen through the fluid takes it out at the same k, past
 * the fluid only k_d goes on; after flow-off C = C0·e^(−k_d t). Vented is what was fed less what went into the fluid,
 * ∫k_app(C* − C)dt·V with C* = Css·k/k_app, and what the purge takes out again.
 */
export const courseOf = (rates: Rates, doing: Doing): Course => {
  const { plateauMgPerL: plateau, transferPerMin, decayPerMin } = rates
  const k = transferPerMin + decayPerMin
  const t95 = Math.log(20) / k
  const bubbled = doing.prepMin ?? t95
  const ozoneOff = plateau * -Math.expm1(-k * bubbled)
  const purgeRate = doing.purgeThroughFluid ? k : decayPerMin
  const lost = -Math.expm1(-purgeRate * doing.purgeMin)
  const flowOff = ozoneOff * (1 - lost)
  return {
    plateau_mg_l: plateau,
    t95_min: t95,
    ozone_off_mg_l: ozoneOff,
    purge_lost_percent: 100 * lost,
    flow_off_mg_l: flowOff,
    ...(doing.targetMgPerL === undefined ? {} : about(doing.targetMgPerL, plateau, k, flowOff, decayPerMin)),
    vented_mg: ventedMg(rates, doing, bubbled, ozoneOff * lost),
    flask_mg: (flowOff * doing.volumeMl) / 1000,
  }
}

const about = (target: number, plateau: number, k: number, flowOff: number, decay: number) => ({
  above_target_min: Math.max(0, Math.log(flowOff / target)) / decay,
  reaches_target_min: plateau > target ? -Math.log1p(-target / plateau) / k : Number.POSITIVE_INFINITY,
})

const ventedMg = (rates: Rates, doing: Doing, bubbled: number, purgedMgPerL: number): number => {
  const { plateauMgPerL: plateau, transferPerMin, decayPerMin } = rates
  const k = transferPerMin + decayPerMin
  const fedMg = (doing.gasUgPerMl * doing.flowMlPerMin * bubbled) / 1000
  const equilibrium = (plateau * k) / transferPerMin
  const takenUp =
    transferPerMin * ((equilibrium - plateau) * bubbled + (plateau / k) * -Math.expm1(-k * bubbled))
  const strippedPart = doing.purgeThroughFluid ? transferPerMin / k : 0
  return (
    Math.max(0, fedMg - (takenUp * doing.volumeMl) / 1000) +
    (purgedMgPerL * strippedPart * doing.volumeMl) / 1000
  )
}
