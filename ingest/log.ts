import { pino } from 'pino'

export type Log = ReturnType<typeof createLog>

/** One JSON line per message on standard output; the supervisor passes it on. */
export const createLog = (part: string, level = 'info') =>
  pino({ base: { part }, level, timestamp: pino.stdTimeFunctions.isoTime })
