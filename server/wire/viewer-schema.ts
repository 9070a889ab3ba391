import { z } from 'zod'
import { qualityName, time, value } from './basics-schema.ts'

/** What a read-only viewer shows: values from InfluxDB, each with its age. Never live. */

const viewedChannel = z.object({
  channel: z.string(),
  instrument: z.string(),
  unit: z.string(),
  value: value.meta({
    description: 'as the meter sent it, not calibrated; null: the newest reading has no number',
  }),
  quality: qualityName,
  at: time,
  age_s: z.number(),
})

export const viewed = z.object({
  at: time.meta({ description: 'the viewer’s time of this answer' }),
  version: z.string(),
  site: z.object({ name: z.string(), zone: z.string(), simulated: z.boolean() }),
  place: z.string(),
  proved: z
    .boolean()
    .meta({ description: 'false where the program was never tested against a live server of this version' }),
  delayed_s: value.meta({ description: 'age of the newest reading of all; null while there is none' }),
  clock_behind_s: value.meta({
    description:
      'the newest reading is that far ahead of the viewer’s clock: ages are too small by at least that',
  }),
  trouble: z.string().nullable().meta({ description: 'why nothing new can be read now' }),
  delivered: z.number().meta({
    description: 'readings delivered since the viewer started, late ones too; a chart is old when it moves',
  }),
  record_mirrored: z.boolean(),
  benches: z.array(
    z.object({
      bench: z.string(),
      name: z.string(),
      simulated: z.boolean(),
      channels: z.array(viewedChannel),
    }),
  ),
})
