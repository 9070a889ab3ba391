declare module 'jstat' {
  interface OneParameterDistribution {
    readonly inv: (probability: number, parameter: number) => number
    readonly cdf: (x: number, parameter: number) => number
  }
  const jStatPackage: {
    readonly jStat: { readonly studentt: OneParameterDistribution }
  }
  export = jStatPackage
}
