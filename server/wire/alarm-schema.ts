import { z } from 'zod'
import { ALARM_NAMES } from '../alarm/alarm-names.ts'

const priority = z.enum(['high', 'medium', 'low'])

/** One alarm as it may be set. */
export const alarmSettingView = z.object({
  alarm: z.enum(ALARM_NAMES),
  in_service: z.boolean(),
  may_be_silenced: z.boolean(),
  priority: priority.nullable().meta({ description: 'null: as the program ships it' }),
  on_delay_s: z.number().nullable(),
  off_delay_s: z.number().nullable(),
  limits: z.array(
    z.object({
      name: z.string(),
      value: z.number().meta({ description: 'as the program ships it' }),
      unit: z.string(),
      least: z.number(),
      most: z.number(),
      words: z.string(),
      source: z.string(),
      set: z.number().nullable().meta({ description: 'null: as the program ships it' }),
    }),
  ),
  set_by: z.string().nullable(),
  set_at: z.string().nullable(),
  set_why: z.string().nullable(),
})

export const alarmPerformanceView = z.object({
  days: z.number(),
  raised: z.number(),
  per_day: z.number(),
  most_in_ten_minutes: z.number(),
  floods: z.number(),
  acknowledged_after_s: z.number().nullable(),
  chattering: z.array(z.string()),
  stale: z.array(z.string()),
  most_often: z.array(z.object({ key: z.string(), raised: z.number() })),
  by_priority: z.object({ high: z.number(), medium: z.number(), low: z.number() }),
})
