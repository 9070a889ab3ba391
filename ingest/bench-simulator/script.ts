import { z } from 'zod'
import { actionSchema } from './action.ts'
import { numberIn, wholeIn } from './checked.ts'
import { benchSettingsSchema } from './settings.ts'

const LONGEST_S = 1e9

/** What is done at a bench and when: JSON-able. Same script, seed and spacing of samples: same samples. */
export const benchScriptSchema = z
  .strictObject({
    seed: wholeIn(0, 2 ** 32 - 1),
    settings: benchSettingsSchema.prefault({}),
    /** In order of time, seconds from the start. */
    events: z.array(
      z.strictObject(
        { atS: numberIn(0, LONGEST_S, 's'), action: actionSchema },
        { error: '{ atS, action }' },
      ),
      { error: 'a list of { atS, action }' },
    ),
    /** Plays the events again every so often, for ever. */
    repeatEveryS: numberIn(1, LONGEST_S, 's').optional(),
  })
  .superRefine(({ events, repeatEveryS }, context) => {
    const times = events.map(({ atS }) => atS)
    const early = times.findIndex((atS, index) => atS < (times[index - 1] ?? 0))
    if (early > 0) {
      const message = `a time no earlier than the event before it (${times[early - 1]} s)`
      context.addIssue({ code: 'custom', path: ['events', early, 'atS'], message })
    }
    const last = times.at(-1) ?? 0
    if (repeatEveryS !== undefined && repeatEveryS <= last) {
      context.addIssue({
        code: 'custom',
        path: ['repeatEveryS'],
        message: `more than the last event's ${last} s`,
      })
    }
  })

/** As written: what has a default may be left out. */
export type BenchScript = z.input<typeof benchScriptSchema>
export type ReadyScript = z.output<typeof benchScriptSchema>
