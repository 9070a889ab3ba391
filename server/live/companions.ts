import { CANONICAL_UNIT, type Channel } from '../../ingest/reading/reading.ts'
import type { MeasuredConditions } from '../model/measured-conditions.ts'
import { type GasTracks, LEAST_FLOW_ML_PER_MIN, LEAST_OZONE_UG_PER_NML } from '../phase/gas-turns.ts'
import { meanBetween, settledLevel, type Track } from '../phase/settled-level.ts'
import type { LiveBench } from '../wire.ts'
import type { ChannelMemory } from './bench-memory.ts'

/** What may be measured beside the dissolved ozone and the fluid's temperature; each is used where it is wired. */
export const COMPANION_CHANNELS = [
  'gas-ozone',
  'gas-flow',
  'barometric-pressure',
  'ph',
  'conductivity',
  'redox-potential',
] as const satisfies readonly Channel[]

export type CompanionChannel = (typeof COMPANION_CHANNELS)[number]
export type Companions = ReadonlyMap<CompanionChannel, ChannelMemory>

export const isCompanion = (channel: Channel): channel is CompanionChannel =>
  (COMPANION_CHANNELS as readonly Channel[]).includes(channel)

/** The gas as its instruments show it, on the axis of the batch; undefined where neither is wired. */
export const gasTracks = (companions: Companions): GasTracks | undefined => {
  const ozone = trackOf(companions.get('gas-ozone'))
  const flow = trackOf(companions.get('gas-flow'))
  if (ozone === undefined && flow === undefined) return undefined
  return { ...(ozone ? { ozone } : {}), ...(flow ? { flow } : {}) }
}

const trackOf = (memory: ChannelMemory | undefined): Track | undefined =>
  memory && memory.values.length > 0
    ? { timesS: memory.timesS.view(), values: memory.values.view() }
    : undefined

/** Gas and flow while they are on; the others over the whole batch. */
export const conditionsOf = (companions: Companions): MeasuredConditions => {
  const values = (channel: CompanionChannel) => companions.get(channel)?.values.view() ?? NONE
  const mean = (channel: CompanionChannel) =>
    meanBetween(values(channel), Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY)
  return {
    ...present('gasUgPerNml', settledLevel(values('gas-ozone'), LEAST_OZONE_UG_PER_NML)),
    ...present('flowMlPerMin', settledLevel(values('gas-flow'), LEAST_FLOW_ML_PER_MIN)),
    ...present('pressureKpa', mean('barometric-pressure')),
    ...present('ph', mean('ph')),
    ...present('conductivityUsPerCm', mean('conductivity')),
  }
}

const NONE = new Float64Array(0)

const present = (key: keyof MeasuredConditions, value: number | undefined): MeasuredConditions =>
  value === undefined ? {} : { [key]: value }

/** Older than this a value is not what is there now, s. */
const STALE_S = 30

/** Each as last measured, and whether that is now. */
export const companionViews = (companions: Companions, steadyMs: number): LiveBench['companions'] =>
  [...companions].flatMap(([channel, memory]) => {
    const { newest } = memory
    if (!newest) return []
    const age = (steadyMs - newest.receivedMs) / 1000
    const state = age > STALE_S ? 'stale' : newest.quality === 'good' ? 'live' : 'fault'
    return [
      {
        channel,
        unit: CANONICAL_UNIT[channel],
        value: newest.value,
        state,
        at: new Date(newest.timeUs / 1000).toISOString(),
      },
    ]
  })
