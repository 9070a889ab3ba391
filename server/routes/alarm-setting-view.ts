import type { z } from 'zod'
import type { AlarmRule } from '../alarm/alarm.ts'
import { ALARM_NAMES } from '../alarm/alarm-names.ts'
import { ruleNamed } from '../alarm/alarm-rules.ts'
import { alarmSetting } from '../alarm/alarm-setting.ts'
import { settingsOf } from '../alarm/alarm-settings.ts'
import type { EntryOf } from '../ledger/entry.ts'
import type { alarmSettingView } from '../wire/alarm-schema.ts'

/** Every alarm as it is set now, from the entries that set it. */
export const settingViews = (
  entries: readonly EntryOf<'alarm-setting'>[],
): z.infer<typeof alarmSettingView>[] => {
  const settings = settingsOf(entries)
  return ALARM_NAMES.flatMap((name) => {
    const rule = ruleNamed(name)
    const set = settings.get(name)
    const by = entries.findLast((entry) => entry.data.alarm === name)
    return rule ? [viewOf(rule, set ?? alarmSetting.parse({ alarm: name }), by)] : []
  })
}

const viewOf = (
  rule: Pick<AlarmRule, 'name' | 'limits' | 'neverSilenced'>,
  set: z.infer<typeof alarmSetting>,
  by: { who: { name: string }; happened_at: string; why: string | null } | undefined,
): z.infer<typeof alarmSettingView> => ({
  alarm: rule.name,
  in_service: set.in_service,
  may_be_silenced: rule.neverSilenced !== true,
  priority: set.priority ?? null,
  on_delay_s: set.on_delay_s ?? null,
  off_delay_s: set.off_delay_s ?? null,
  limits: Object.entries(rule.limits ?? {}).map(([name, spec]) => ({
    name,
    ...spec,
    set: set.limits?.[name] ?? null,
  })),
  set_by: by?.who.name ?? null,
  set_at: by?.happened_at ?? null,
  set_why: by?.why ?? null,
})
