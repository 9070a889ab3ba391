import { z } from 'zod'
import { numberIn } from './checked.ts'

/** What can be done at a bench. JSON-able; `do` says which. */
export const actionSchema = z.discriminatedUnion(
  'do',
  [
    z.strictObject({
      do: z.literal('fill'),
      volumeMl: numberIn(1, 5000, 'mL'),
      fluid: z.enum(['saline', 'distilled', 'filtered'], { error: 'saline, distilled or filtered' }),
      temperatureC: numberIn(0.1, 60, '°C'),
      fluidHalfLifeMin20: numberIn(0.01, 1e12, 'min'),
      decayOrder: z.literal([1, 1.5, 2], { error: '1, 1.5 or 2' }).default(1),
      /** The half-life holds for fluid that starts here; matters only when the order is not 1. */
      halfLifeStartMgPerL: numberIn(0.01, 1000, 'mg/L').default(20),
      activationKjPerMol: numberIn(0, 200, 'kJ/mol').default(65),
      /** Fluid that already holds ozone when it is poured in. */
      dissolvedMgPerL: numberIn(0, 1000, 'mg/L').default(0),
    }),
    /** Ozone in oxygen through the fluid. Flow at the fluid's temperature and pressure. */
    z.strictObject({
      do: z.literal('ozone-on'),
      gasUgPerNml: numberIn(0.01, 300, 'µg/NmL'),
      flowMlPerMin: numberIn(1, 10_000, 'mL/min'),
    }),
    /** The generator's ozone stops; what happens to the oxygen is the purge. */
    z.strictObject({
      do: z.literal('ozone-off'),
      purge: z
        .enum(['through-fluid', 'lifted-clear', 'bypass', 'none'], {
          error: 'through-fluid, lifted-clear, bypass or none',
        })
        .default('through-fluid'),
    }),
    z.strictObject({ do: z.literal('flow-off') }),
    z.strictObject({
      do: z.literal('draw'),
      ml: numberIn(0.01, 5000, 'mL'),
      /** Share of the dissolved ozone left behind that the disturbance drives out. */
      lostShare: numberIn(0, 1).default(0),
    }),
    z.strictObject({ do: z.literal('probe-in') }),
    z.strictObject({ do: z.literal('probe-out') }),
    z.strictObject({ do: z.literal('discard') }),
    z.strictObject({
      do: z.literal('set-room'),
      temperatureC: numberIn(0, 45, '°C').optional(),
      pressureKpa: numberIn(50, 120, 'kPa').optional(),
    }),
  ],
  { error: 'do: one of fill, ozone-on, ozone-off, flow-off, draw, probe-in, probe-out, discard, set-room' },
)

export type Action = z.output<typeof actionSchema>
/** As written in a script or sent to a control port: what has a default may be left out. */
export type ActionInput = z.input<typeof actionSchema>
export type Fill = Extract<Action, { do: 'fill' }>
