import jStatPackage from 'jstat'

/** Two-sided 95 % and one-sided 95 % quantiles of Student's t. */
export interface TQuantiles {
  readonly twoSided: number
  readonly oneSided: number
}

/** Quantiles for any positive degrees of freedom, whole or not; they settle at the normal's 1.960 and 1.645. */
export const tQuantiles = (degreesOfFreedom: number): TQuantiles =>
  degreesOfFreedom > 1e5
    ? { twoSided: 1.959963984540054, oneSided: 1.6448536269514722 }
    : {
        twoSided: jStatPackage.jStat.studentt.inv(0.975, degreesOfFreedom),
        oneSided: jStatPackage.jStat.studentt.inv(0.95, degreesOfFreedom),
      }
