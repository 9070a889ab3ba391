import { type Celsius, celsius, type MgPerL, type Millilitres, mgPerL, millilitres } from '../units.ts'
import { type ActionInput, actionSchema } from './action.ts'
import { advance } from './advance.ts'
import { type ActionResult, applyAction } from './apply-action.ts'
import { bubblesThroughFluid, emptyBench } from './bench-state.ts'
import { check, mustCheck } from './checked.ts'
import { createSlowNoise, meterReading, rounded } from './noise.ts'
import { createRandom, type Random } from './random.ts'
import { roomPpm } from './room-air.ts'
import { type BenchSettings, type BenchSettingsInput, benchSettingsSchema } from './settings.ts'

/** One look at the bench: the truth, and what the instruments say about it. */
export interface SimulatedSample {
  /** Seconds since the bench was created. */
  readonly atS: number
  /** Dissolved ozone in the fluid; 0 when the flask is empty. */
  readonly trueMgPerL: MgPerL
  /** The room's temperature when the flask is empty. */
  readonly fluidC: Celsius
  /** 0 when the flask is empty. */
  readonly volumeMl: Millilitres
  readonly meterMgPerL: MgPerL
  /** The meter stands at its full scale: the value is this or more. */
  readonly clipped: boolean
  readonly thermometerC: Celsius
  /** Absent when the bench has no room-ozone monitor. */
  readonly roomOzonePpm?: number
}

/** A bubbler from first principles. Its time is the sum of its steps; it has no clock and no I/O. */
export interface SimulatedBench {
  step(dtS: number): void
  /** Takes effect now. Refused, with the reason, when nobody could do it at a real bench either. */
  apply(action: ActionInput): ActionResult
  /** Reads the instruments once; each call draws fresh noise. */
  readings(): SimulatedSample
}

/** The same settings, seed, steps, actions and readings give the same numbers. */
export const createSimulatedBench = (settings: BenchSettingsInput, seed: number): SimulatedBench => {
  const made = mustCheck(benchSettingsSchema, settings, 'settings')
  const instruments = createInstruments(made, createRandom(seed))
  let atS = 0
  let state = emptyBench(made)
  return {
    step(dtS) {
      state = advance(state, dtS, made)
      atS += dtS
    },
    apply(action) {
      const asked = check(actionSchema, action, 'action')
      if (!asked.ok) return { ok: false, why: asked.why.join('; ') }
      const outcome = applyAction(state, asked.value, made)
      if (!outcome.ok) return outcome
      state = outcome.state
      return { ok: true }
    },
    readings: () => instruments.read(state, atS),
  }
}

interface Instruments {
  read(state: ReturnType<typeof emptyBench>, atS: number): SimulatedSample
}

const createInstruments = ({ meter, thermometer, roomOzone }: BenchSettings, random: Random): Instruments => {
  const slowNoise = createSlowNoise(random, meter.slowNoiseS)
  let lastS = 0
  return {
    read(state, atS) {
      const { levels, flask } = state
      const noiseTimes = bubblesThroughFluid(state) ? meter.bubblingNoiseTimes : 1
      const shown = meterReading(levels.probeMgPerL, slowNoise.after(atS - lastS), noiseTimes, meter, random)
      lastS = atS
      const warmth = levels.thermometerC + thermometer.zeroC + random.normal() * thermometer.noiseC
      const sample = {
        atS,
        trueMgPerL: mgPerL(levels.dissolvedMgPerL),
        fluidC: celsius(flask.kind === 'empty' ? state.room.temperatureC : levels.fluidC),
        volumeMl: millilitres(flask.kind === 'empty' ? 0 : flask.volumeMl),
        meterMgPerL: mgPerL(shown.mgPerL),
        clipped: shown.clipped,
        thermometerC: celsius(rounded(warmth, thermometer.resolutionC)),
      }
      if (roomOzone === undefined) return sample
      const noisy = roomPpm(levels.roomMgPerM3, state.room) + random.normal() * roomOzone.noisePpm
      return { ...sample, roomOzonePpm: rounded(Math.max(0, noisy), 0.001) }
    },
  }
}
