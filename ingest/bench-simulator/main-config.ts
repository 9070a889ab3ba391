import { z } from 'zod'
import { mustCheck, numberIn, wholeIn } from './checked.ts'
import { loadBenches } from './load.ts'
import { benchScriptSchema } from './script.ts'

const portNumber = wholeIn(0, 65_535)

const benchSchema = z
  .strictObject({
    id: z
      .string({ error: 'a name' })
      .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'a name of up to 40 of a-z, 0-9 and -'),
    script: benchScriptSchema,
    /** When the script's time 0 was or will be; absent = when the program starts. */
    startEpochMs: numberIn(0, 4e12, 'ms').optional(),
    intervalS: numberIn(0.001, 3600, 's').default(1),
    speed: numberIn(0.01, 10_000).default(1),
    /** 0 = any free port. */
    tcpPort: portNumber.optional(),
    controlPort: portNumber.optional(),
    ptyPath: z.string({ error: 'a path' }).min(1, 'a path').optional(),
    baudRate: wholeIn(300, 921_600).default(9600),
  })
  .refine(({ tcpPort, ptyPath }) => tcpPort !== undefined || ptyPath !== undefined, {
    error: 'tcpPort, ptyPath or both',
  })

const configSchema = z
  .strictObject({
    host: z.string({ error: 'a host name or address' }).min(1, 'a host name or address').default('127.0.0.1'),
    benches: z.array(benchSchema, { error: 'a list of benches' }).default([]),
    /** This many more benches that send lines at this rate. */
    load: z
      .strictObject({
        benches: wholeIn(1, 1000),
        linesPerS: numberIn(0.01, 1000, '1/s'),
        firstPort: wholeIn(0, 64_000).default(0),
      })
      .optional(),
  })
  .superRefine(({ benches, load }, context) => {
    const ids = benches.map(({ id }) => id)
    ids.forEach((id, index) => {
      if (ids.indexOf(id) === index) return
      context.addIssue({ code: 'custom', path: ['benches', index, 'id'], message: 'a name of its own' })
    })
    if (benches.length === 0 && load === undefined) {
      context.addIssue({ code: 'custom', path: ['benches'], message: 'at least one bench, or load' })
    }
  })

export type SimulatorBench = z.output<typeof benchSchema> & { readonly startEpochMs: number }
export interface SimulatorConfig {
  readonly host: string
  readonly benches: readonly SimulatorBench[]
}

/** Checks the configuration, names every fault at once, and turns `load` into benches. `nowMs` stands in for no start. */
export const readConfig = (raw: unknown, nowMs: number): SimulatorConfig => {
  const { host, benches, load } = mustCheck(configSchema, raw, 'config')
  const extra = load === undefined ? [] : loadBenches(load, nowMs).map((bench) => benchSchema.parse(bench))
  const all = [...benches, ...extra].map((bench) => ({ ...bench, startEpochMs: bench.startEpochMs ?? nowMs }))
  return Object.freeze({ host, benches: all })
}
