declare module 'jstat' {
  interface OneParameterDistribution {
    readonly inv: (probability: number, parameter: number) => number
    readonly cdf: (x: number, parameter: number) => number
  }
  interface TwoParameterDistribution {
    readonly inv: (probability: number, first: number, second: number) => number
    readonly cdf: (x: number, first: number, second: number) => number
  }
  const jStatPackage: {
    readonly jStat: {
      readonly studentt: OneParameterDistribution
      readonly chisquare: OneParameterDistribution
      readonly normal: TwoParameterDistribution
      readonly centralF: TwoParameterDistribution
    }
  }
  export = jStatPackage
}
