import { z } from 'zod'
import { ALARM_NAMES } from './alarm-names.ts'

const delay = z.number().min(0).max(3600)

/** How the clinic wants one alarm; what is absent is as the program ships it. Each entry replaces the one before. */
export const alarmSetting = z.strictObject({
  alarm: z.enum(ALARM_NAMES),
  in_service: z.boolean().default(true),
  priority: z.enum(['high', 'medium', 'low']).optional(),
  on_delay_s: delay.optional().meta({ description: 'the condition must last this long, s' }),
  off_delay_s: delay.optional().meta({ description: 'it must be gone this long, s' }),
  limits: z.record(z.string().max(40), z.number()).optional(),
})
export type AlarmSetting = z.infer<typeof alarmSetting>
