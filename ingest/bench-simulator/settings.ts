import { z } from 'zod'
import { numberIn } from './checked.ts'

/**
 * What a simulated bench is made of. Values without a source are ordinary choices for a demonstration; none is a
 * recommendation. Every key is optional in a script; the unit is in the name.
 */
const flask = z
  .strictObject({
    /** Inner diameter 8 cm: A = 50.3 cm². */
    surfaceAreaCm2: numberIn(0, 1000, 'cm²').default(50.3),
    /** Quiet to gently moving water: order 0.5-5e-5 m/s (from memory). 0 = covered. */
    surfaceTransferMPerS: numberIn(0, 1e-3, 'm/s').default(1e-5),
    /** While gas bubbles, its off-gas blankets the surface, unless room air sweeps it. */
    headspaceSweptByRoomAir: z.boolean({ error: 'true or false' }).default(false),
    /** kLa at 20 °C; small spargers 0.3-3 1/min (from memory). */
    transferPerMin20: numberIn(0.001, 60, '1/min').default(0.5),
    /** kLa(T) = kLa(20 °C)·θ^(t − 20); θ = 1.024 for oxygen (ASCE/EWRI 2-06), borrowed for ozone. */
    transferTheta: numberIn(1, 1.1).default(1.024),
    /** Newton's law: time constant of the fluid towards room temperature. */
    warmingMin: numberIn(0.1, 1e9, 'min').default(45),
  })
  .readonly()

const room = z
  .strictObject({
    temperatureC: numberIn(0, 45, '°C').default(22),
    /** Absolute pressure at the bubbles. */
    pressureKpa: numberIn(50, 120, 'kPa').default(101.325),
  })
  .readonly()

const roomOzone = z
  .strictObject({
    roomM3: numberIn(1, 10_000, 'm³').default(40),
    airChangesPerH: numberIn(0, 100, '1/h').default(3),
    /** Share of the escaping ozone that extraction and destruct do not catch. */
    leakShare: numberIn(0, 1).default(0.01),
    noisePpm: numberIn(0, 1, 'ppm').default(0.002),
  })
  .readonly()

const meter = z
  .strictObject({
    /** Time constant; 63.2 % of a step after this. T90 of 30 s is 13.0 s. 0 = at once. */
    lagS: numberIn(0, 600, 's').default(13),
    fullScaleMgPerL: numberIn(0.1, 1000, 'mg/L').default(50),
    lowestMgPerL: numberIn(-100, 0, 'mg/L').default(0),
    resolutionMgPerL: numberIn(0, 10, 'mg/L').default(0.01),
    gain: numberIn(0.1, 10).default(1),
    zeroMgPerL: numberIn(-10, 10, 'mg/L').default(0),
    whiteNoiseMgPerL: numberIn(0, 10, 'mg/L').default(0.05),
    slowNoiseMgPerL: numberIn(0, 10, 'mg/L').default(0.1),
    /** Correlation time of the slow noise: ρ after h seconds is exp(−h/this). */
    slowNoiseS: numberIn(0.1, 3600, 's').default(20),
    /** Noise while bubbles strike the membrane, as a multiple of the noise in still fluid. */
    bubblingNoiseTimes: numberIn(0, 100).default(1),
    /** Reading in still fluid over reading in stirred fluid (a membrane probe uses up ozone at its face). */
    stillFluidShare: numberIn(0.1, 1).default(1),
    spikeChance: numberIn(0, 1).default(0),
    spikeMgPerL: numberIn(0, 1000, 'mg/L').default(5),
  })
  .readonly()

const thermometer = z
  .strictObject({
    lagS: numberIn(0, 600, 's').default(20),
    zeroC: numberIn(-20, 20, '°C').default(0),
    noiseC: numberIn(0, 5, '°C').default(0.02),
    resolutionC: numberIn(0, 5, '°C').default(0.01),
  })
  .readonly()

export const benchSettingsSchema = z
  .strictObject({
    flask: flask.prefault({}),
    room: room.prefault({}),
    /** Absent: the bench has no room-ozone monitor. */
    roomOzone: roomOzone.optional(),
    meter: meter.prefault({}),
    thermometer: thermometer.prefault({}),
  })
  .readonly()

export type BenchSettings = z.output<typeof benchSettingsSchema>
/** As written in a script: everything optional. */
export type BenchSettingsInput = z.input<typeof benchSettingsSchema>
