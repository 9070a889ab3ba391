import { spawnSync } from 'node:child_process'
import { levenbergMarquardt } from 'ml-levenberg-marquardt'
import { timeUs } from '../../ingest/units.ts'
import type { AnalysisInput } from '../../server/analysis/input.ts'
import { createLiveEstimator, liveEstimate } from '../../server/analysis/live.ts'
import { exponentialShape, usualStepOf } from '../../server/fit/rate-shape.ts'
import { fitSeparable, gramInverseOf } from '../../server/fit/separable-fit.ts'
import { riseModel } from '../../server/fit/separable-model.ts'
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
  return { minutes, values: minutes.map((t) => 20 * (1 - Math.exp(-0.3 * t)) + 0.2 * normal()), normal }
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

/** Three hours at 1 Hz: bubbled for 20 min, standing since. */
const longBatch = (): AnalysisInput => {
  const n = 10_800
  const timesS = Float64Array.from({ length: n }, (_, i) => i)
  const potencyMgPerL = timesS.map((s) => {
    const minute = s / 60
    const truth = minute < 20 ? 20 * (1 - Math.exp(-0.3 * minute)) : 19.95 * 2 ** (-(minute - 20) / 90)
    return truth + 0.2 * rise.normal()
  })
  return {
    startUs: timeUs(0),
    timesS,
    potencyMgPerL,
    temperature: { timesS, celsius: timesS.map(() => 20) },
    events: [
      { kind: 'ozone-on', atS: 0 },
      { kind: 'ozone-off', atS: 1200 },
      { kind: 'flow-off', atS: 1200 },
    ],
    probeLag: { tauS: 10, uS: 1 },
    targetMgPerL: 5,
    calibration: { uRelative: 0.03, uZeroMgPerL: 0.1 },
    expectation: {
      fluid: 'saline',
      volumeMl: 250,
      gas: { ugPerMl: 60, reference: 'normal-0c-101kpa' },
      flowMlPerMin: 500,
      temperatureC: 20,
    },
    nowS: n,
  }
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
  const batch = longBatch()
  const afresh = timeOf(() => void liveEstimate(batch, 80), 20)
  const keeping = createLiveEstimator()
  const live = timeOf(() => void keeping(batch, 80), 20)
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
    {
      what: 'whole live update of a bench, 3 h at 1 Hz',
      ours: `${live.toFixed(1)} ms`,
      peer: scipy === undefined ? 'scipy is not installed' : `${scipy.toFixed(2)} ms one scipy fit of 1 h`,
      ratio: scipy === undefined ? null : live / scipy,
      budget: '≤ 5 ms',
    },
    {
      what: 'the same with no finished phase kept',
      ours: `${afresh.toFixed(1)} ms`,
      peer: `${live.toFixed(1)} ms with the rise kept`,
      ratio: afresh / live,
      budget: 'none',
    },
  ]
}
