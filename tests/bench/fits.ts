import { spawnSync } from 'node:child_process'
import { levenbergMarquardt } from 'ml-levenberg-marquardt'
import { exponentialShape, usualStepOf } from '../../server/fit/rate-shape.ts'
import { fitSeparable, gramInverseOf } from '../../server/fit/separable-fit.ts'
import { riseModel } from '../../server/fit/separable-model.ts'
import { liveUpdateRows } from './live-updates.ts'
import { type Row, timeOf } from './row.ts'

const N = 3600

/** A seeded 60 min rise at 1 Hz: plateau 20, rate 0.3/min, white noise sd 0.2. */
const rise = (() => {
  let state = 7
  const uniform = () => {
    state = (state * 1_664_525 + 1_013_904_223) % 4_294_967_296
    return (state + 0.5) / 4_294_967_296
  }
  const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform())
  const minutes = Float64Array.from({ length: N }, (_, i) => i / 60)
  return { minutes, values: minutes.map((t) => 20 * (1 - Math.exp(-0.3 * t)) + 0.2 * normal()) }
})()

/** The same fit by scipy in a process of its own: median ms of one call, import and start not counted. */
const scipyMs = (): number | undefined => {
  const program = `
import sys, json, time
import numpy as np
from scipy.optimize import curve_fit
d = json.load(sys.stdin); t = np.array(d['t']); y = np.array(d['y'])
f = lambda t, c, c0, k: c - (c - c0) * np.exp(-k * t)
one = lambda: curve_fit(f, t, y, p0=[15.0, 0.5, 0.2])
for _ in range(10): one()
times = []
for _ in range(60):
    s = time.perf_counter(); one(); times.append(time.perf_counter() - s)
print(1000 * sorted(times)[30])`
  const input = JSON.stringify({ t: [...rise.minutes], y: [...rise.values] })
  const done = spawnSync('/usr/bin/python3', ['-c', program], { input, encoding: 'utf8' })
  return done.status === 0 ? Number(done.stdout) : undefined
}

const mlMs = (): number => {
  const data = { x: [...rise.minutes], y: [...rise.values] }
  const model =
    ([c = 0, c0 = 0, k = 0]: number[]) =>
    (t: number) =>
      c - (c - c0) * Math.exp(-k * t)
  return timeOf(
    () =>
      void levenbergMarquardt(data, model, {
        initialValues: [15, 0.5, 0.2],
        damping: 1e-2,
        gradientDifference: 1e-6,
        maxIterations: 100,
        errorTolerance: 1e-9,
      }),
    5,
  )
}

/** The least-squares kernel alone: estimates and covariance, from the same start as the peers. */
const kernelFit = (): void => {
  const model = riseModel(rise.minutes, exponentialShape(usualStepOf(rise.minutes)))
  const fit = fitSeparable(model, rise.values, { start: 0.2, lowest: 1e-4, highest: 100, tolerance: 1e-9 })
  if (fit.kind !== 'fitted' || !gramInverseOf(fit.jacobian)) throw new Error('the kernel did not fit')
}

export const benchFits = (): Row[] => {
  const kernel = timeOf(kernelFit, 200)
  const scipy = scipyMs()
  const ml = mlMs()
  return [
    {
      what: 'saturation fit of 3,600 readings, estimates and covariance',
      ours: `${kernel.toFixed(3)} ms`,
      peer: scipy === undefined ? 'scipy is not installed' : `${scipy.toFixed(2)} ms scipy curve_fit`,
      ratio: scipy === undefined ? null : kernel / scipy,
      budget: '≤ 1x scipy',
    },
    {
      what: 'the same fit',
      ours: `${kernel.toFixed(3)} ms`,
      peer: `${ml.toFixed(1)} ms ml-levenberg-marquardt`,
      ratio: kernel / ml,
      budget: '≤ 0.02x',
    },
    ...liveUpdateRows(scipy),
  ]
}
