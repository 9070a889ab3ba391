import { describe, expect, it } from 'vitest'
import { type LeastSquaresProblem, levenbergMarquardt } from '../../../server/fit/levenberg-marquardt.ts'
import { certified, digits, fewestDigits } from './certified.ts'

type Model = (b: readonly number[], x: number) => number

const p = (b: readonly number[], i: number): number => b[i - 1] ?? Number.NaN

const rise: Model = (b, x) => p(b, 1) * -Math.expm1(-p(b, 2) * x)
const lanczos: Model = (b, x) =>
  p(b, 1) * Math.exp(-p(b, 2) * x) + p(b, 3) * Math.exp(-p(b, 4) * x) + p(b, 5) * Math.exp(-p(b, 6) * x)
const mgh17: Model = (b, x) => p(b, 1) + p(b, 2) * Math.exp(-x * p(b, 4)) + p(b, 3) * Math.exp(-x * p(b, 5))
const chwirut: Model = (b, x) => Math.exp(-p(b, 1) * x) / (p(b, 2) + p(b, 3) * x)

/** Models, published starts and digits required of estimates and standard errors: NIST StRD nonlinear regression. */
const problems: [string, Model, number[][], number, number][] = [
  [
    'misra1a',
    rise,
    [
      [500, 1e-4],
      [250, 5e-4],
    ],
    8,
    6,
  ],
  [
    'boxbod',
    rise,
    [
      [1, 1],
      [100, 0.75],
    ],
    8,
    6,
  ],
  [
    'chwirut2',
    chwirut,
    [
      [0.1, 0.01, 0.02],
      [0.15, 0.008, 0.01],
    ],
    8,
    6,
  ],
  [
    'mgh17',
    mgh17,
    [
      [50, 150, -100, 1, 2],
      [0.5, 1.5, -1, 0.01, 0.02],
    ],
    8,
    6,
  ],
  [
    'lanczos3',
    lanczos,
    [
      [1.2, 0.3, 5.6, 5.5, 6.5, 7.6],
      [0.5, 0.7, 3.6, 4.2, 4, 6.3],
    ],
    6,
    4,
  ],
]

const problemOf = (name: string, model: Model, start: number[]): LeastSquaresProblem => {
  const { x, y } = certified(name)
  return {
    observations: x.length,
    start,
    residuals: (b, out) => {
      const parameters = [...b]
      for (let i = 0; i < x.length; i++) out[i] = (y[i] ?? Number.NaN) - model(parameters, x[i] ?? Number.NaN)
    },
  }
}

describe('the general solver on certified NIST problems', () => {
  const cases = problems.flatMap(([name, model, starts, a, b]) =>
    starts.map((start, i) => ({ name, model, start, number: i + 1, estimates: a, errors: b })),
  )
  it.each(cases)('reproduces $name from start $number', ({ name, model, start, estimates, errors }) => {
    const set = certified(name)
    const fit = levenbergMarquardt(problemOf(name, model, start))
    if (fit.kind === 'refused') throw new Error(fit.why)
    expect(fewestDigits(fit.parameters, set.estimates)).toBeGreaterThanOrEqual(estimates)
    expect(fewestDigits(fit.standardErrors, set.standardErrors)).toBeGreaterThanOrEqual(errors)
    expect(digits(fit.residualSd, set.residualSd)).toBeGreaterThanOrEqual(errors)
    expect(fit.degreesOfFreedom).toBe(set.x.length - start.length)
  })
})

describe('the general solver when there is nothing to fit', () => {
  it('refuses as many parameters as readings', () => {
    const fit = levenbergMarquardt({ observations: 2, start: [1, 1], residuals: (_, out) => out.fill(0) })
    expect(fit).toEqual({ kind: 'refused', why: 'too-few-readings' })
  })

  it('refuses a parameter that changes nothing', () => {
    const fit = levenbergMarquardt({
      observations: 3,
      start: [1, 1],
      residuals: (b, out) =>
        out.forEach((_, i) => {
          out[i] = i - (b[0] ?? 0)
        }),
    })
    expect(fit.kind).toBe('refused')
  })
})
