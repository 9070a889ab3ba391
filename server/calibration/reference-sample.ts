import { type Measured, relativeU, sumU } from './measured.ts'

/** Why a reference value is less than a plain number. */
export type ReferenceNote =
  | 'dye-nearly-used-up'
  | 'below-the-method'
  | 'above-the-method'
  | 'counts-other-oxidants'
  | 'epsilon-outside-published'
  | 'absorbance-too-high'

/** A reference value in mg/L. `at-least`: clipped low. `at-most`: other oxidants count with it. */
export interface ReferenceValue extends Measured {
  readonly kind: 'value' | 'at-least' | 'at-most'
  readonly notes: readonly ReferenceNote[]
}

/** Dye left, as part of the blank's, under which ozone was in excess. */
const LEAST_DYE_LEFT = 0.2
/** Linear range of the indigo method, mg/L in the flask. Bader & Hoigné, Water Res. 15, 449 (1981). */
const INDIGO_MG_PER_L: readonly [number, number] = [0.005, 30]

export interface Indigo {
  /** Absorbance of the blank and of the sample at 600 nm. */
  readonly blank: Measured
  readonly sample: Measured
  /** Path, cm. */
  readonly pathCm: Measured
  /** Sample, mL. */
  readonly sampleMl: Measured
  /** Absorbance per mg/L and cm of this dye lot; 0.42 where none was measured. */
  readonly f: Measured
}

/**
 * f when the dye lot was not measured, 1/(mg/L · cm), with the spread that Δε = 20 000 ± 1000 1/(mol/L · cm) leaves.
 * Bader & Hoigné (1981); Gordon & Bubnis, Ozone Sci. Eng. 24, 17 (2002) found dye sources to differ enough to measure it.
 */
export const F_UNMEASURED: Measured = { value: 0.42, u: 0.021 }

/**
 * Dissolved ozone by indigo, sample made up to 100 mL: C = 100·(A_blank − A_sample)/(f·b·V), mg/L.
 * Standard Methods 4500-O3 B; layout from memory. In saline the reagent needs malonic acid, or chlorine counts too.
 */
export const indigo = ({ blank, sample, pathCm, sampleMl, f }: Indigo): ReferenceValue => {
  const lost: Measured = { value: blank.value - sample.value, u: Math.hypot(blank.u, sample.u) }
  const value = (100 * lost.value) / (f.value * pathCm.value * sampleMl.value)
  const u = Math.hypot(
    (100 * lost.u) / (f.value * pathCm.value * sampleMl.value),
    value * relativeU(f, pathCm, sampleMl),
  )
  return indigoValue({ value, u }, sample.value / blank.value)
}

export interface IndigoByWeight extends Omit<Indigo, 'sampleMl'> {
  /** Reagent and sample together, and sample alone, mL from their weights. */
  readonly totalMl: Measured
  readonly sampleMl: Measured
}

/**
 * The same with volumes by weight: C = (100·A_blank − A_sample·V_total)/(f·b·V_sample), mg/L; the blank is 100 mL.
 * Standard Methods 4500-O3 B, gravimetric; from memory.
 */
export const indigoByWeight = (parts: IndigoByWeight): ReferenceValue => {
  const { blank, sample, pathCm, totalMl, sampleMl, f } = parts
  const scale = 1 / (f.value * pathCm.value * sampleMl.value)
  const lost = 100 * blank.value - sample.value * totalMl.value
  const uLost = sumU([100, blank.u], [totalMl.value, sample.u], [sample.value, totalMl.u])
  const value = lost * scale
  const u = Math.hypot(uLost * scale, value * relativeU(f, pathCm, sampleMl))
  return indigoValue({ value, u }, (sample.value * totalMl.value) / (100 * blank.value))
}

const indigoValue = ({ value, u }: Measured, dyeLeft: number): ReferenceValue => {
  const usedUp = dyeLeft < LEAST_DYE_LEFT
  const [least, most] = INDIGO_MG_PER_L
  return {
    kind: usedUp ? 'at-least' : 'value',
    value,
    u,
    notes: [
      ...(usedUp ? (['dye-nearly-used-up'] as const) : []),
      ...(value < least ? (['below-the-method'] as const) : []),
      ...(value > most ? (['above-the-method'] as const) : []),
    ],
  }
}

/** mg/L ozone per mg/L chlorine found: molar masses 47.998/70.906. */
export const OZONE_PER_CHLORINE = 47.998 / 70.906

export interface Dpd {
  /** As the photometer shows it, mg/L as Cl2. */
  readonly chlorine: Measured
  /** Volume after dilution over volume of sample; 1 when not diluted. */
  readonly dilution: Measured
  readonly inChloride: boolean
}

/**
 * Dissolved ozone by DPD, mg/L: C = 0.6769·(mg/L as Cl2)·dilution. Every oxidant counts: in a chloride solution, where
 * ozone makes hypochlorite, an upper bound. From memory; the factor is that of the molar masses.
 */
export const dpd = ({ chlorine, dilution, inChloride }: Dpd): ReferenceValue => {
  const value = OZONE_PER_CHLORINE * chlorine.value * dilution.value
  return {
    kind: inChloride ? 'at-most' : 'value',
    value,
    u: Math.hypot(
      OZONE_PER_CHLORINE * dilution.value * chlorine.u,
      OZONE_PER_CHLORINE * chlorine.value * dilution.u,
    ),
    notes: inChloride ? ['counts-other-oxidants'] : [],
  }
}

/** Molar absorptivities near 258 nm in print, 1/(mol/L · cm): two honest laboratories may differ by 14 %. */
export const EPSILON_PUBLISHED: readonly [number, number] = [2900, 3300]
const HIGHEST_ABSORBANCE = 1

export interface Ultraviolet {
  readonly absorbance: Measured
  readonly pathCm: Measured
  /** 1/(mol/L · cm), the one used; it goes on record with every value. */
  readonly epsilon: Measured
}

/** Dissolved ozone by absorption at 254 to 260 nm (Beer and Lambert): C = 47 998·A/(ε·b), mg/L. */
export const ultraviolet = ({ absorbance, pathCm, epsilon }: Ultraviolet): ReferenceValue => {
  const scale = 47_998 / (epsilon.value * pathCm.value)
  const value = absorbance.value * scale
  const [least, most] = EPSILON_PUBLISHED
  return {
    kind: 'value',
    value,
    u: Math.hypot(absorbance.u * scale, value * relativeU(epsilon, pathCm)),
    notes: [
      ...(epsilon.value < least || epsilon.value > most ? (['epsilon-outside-published'] as const) : []),
      ...(absorbance.value > HIGHEST_ABSORBANCE ? (['absorbance-too-high'] as const) : []),
    ],
  }
}
