import { ServerError } from '../errors.ts'
import type { AlarmName, Priority } from './alarm.ts'
import type { AlarmSetting } from './alarm-setting.ts'
import type { AlarmDelays } from './alarm-state.ts'
import type { Limits, LimitsNow } from './limits.ts'

export type AlarmSettings = ReadonlyMap<AlarmName, AlarmSetting>

/** The newest setting of each alarm, from entries in their order. */
export const settingsOf = (entries: readonly { readonly data: AlarmSetting }[]): AlarmSettings =>
  new Map(entries.map(({ data }) => [data.alarm, data]))

export const limitsNow = <L extends Limits>(
  limits: L | undefined,
  setting: AlarmSetting | undefined,
): LimitsNow<L> =>
  Object.fromEntries(
    Object.entries(limits ?? {}).map(([name, spec]) => [name, setting?.limits?.[name] ?? spec.value]),
  ) as LimitsNow<L>

/** Delays are changed in whole: what makes them depend on the probe then no longer counts. */
export const delaysNow = (shipped: AlarmDelays, setting: AlarmSetting | undefined): AlarmDelays => ({
  onDelayMs: setting?.on_delay_s === undefined ? shipped.onDelayMs : 1000 * setting.on_delay_s,
  offDelayMs: setting?.off_delay_s === undefined ? shipped.offDelayMs : 1000 * setting.off_delay_s,
})

export const priorityNow = (shipped: Priority, setting: AlarmSetting | undefined): Priority =>
  setting?.priority ?? shipped

/** Refuses what the alarm does not have, and what would silence one that may not be silenced. All faults in one answer. */
export const checkSetting = (
  setting: AlarmSetting,
  rule: { readonly limits?: Limits; readonly neverSilenced?: true },
): void => {
  const known = rule.limits ?? {}
  const faults = [
    ...Object.entries(setting.limits ?? {}).flatMap(([name, value]) => {
      const spec = known[name]
      if (spec === undefined)
        return [`it has no limit "${name}" (it has: ${Object.keys(known).join(', ') || 'none'})`]
      return value >= spec.least && value <= spec.most
        ? []
        : [`${name} must lie from ${spec.least} to ${spec.most} ${spec.unit}, got ${value}`]
    }),
    ...(rule.neverSilenced && !setting.in_service ? ['it may not be taken out of service'] : []),
    ...(rule.neverSilenced && setting.priority !== undefined && setting.priority !== 'high'
      ? ['its priority stays high']
      : []),
    ...(rule.neverSilenced && (setting.on_delay_s ?? 0) > 0 ? ['it may not be delayed'] : []),
  ]
  if (faults.length > 0)
    throw new ServerError('bad-request', `alarm ${setting.alarm}: ${faults.join('; ')}`, {
      fix: 'see /api/alarms/settings for what each alarm has',
    })
}
