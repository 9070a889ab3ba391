import type { AlarmRule } from './alarm.ts'
import { batchLeftAlone, batchPastAgeLimit } from './batch-age.ts'
import { calibrationOverdue } from './calibration-overdue.ts'
import { deliveryFailing } from './delivery-failing.ts'
import { diskNearlyFull } from './disk-nearly-full.ts'
import { forwardingBacklog, recordBacklog } from './forwarding-backlog.ts'
import { instrumentFault } from './instrument-fault.ts'
import { instrumentSilent } from './instrument-silent.ts'
import type { Limits } from './limits.ts'
import { loggingStopped } from './logging-stopped.ts'
import { plateauNotReached } from './plateau-not-reached.ts'
import { potencyBelowTarget } from './potency-below-target.ts'
import { prepTimeOver } from './prep-time-over.ts'
import { readingDue } from './reading-due.ts'
import { readingsRefused, recordRefused } from './readings-refused.ts'
import { roomOzoneCeiling, roomOzoneEightHours } from './room-ozone.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'
import { temperatureOffPlan } from './temperature-off-plan.ts'
import { willFallBelowTarget } from './will-fall-below-target.ts'

/** A rule only ever gets the limits it names itself, so that in a list it may be taken for one of any limits. */
const inList = <View, L extends Limits>(rule: AlarmRule<View, L>): AlarmRule<View> =>
  rule as unknown as AlarmRule<View>

export const ALARM_RULES: readonly AlarmRule[] = [
  inList(roomOzoneCeiling),
  inList(roomOzoneEightHours),
  inList(potencyBelowTarget),
  inList(willFallBelowTarget),
  inList(batchPastAgeLimit),
  inList(batchLeftAlone),
  inList(prepTimeOver),
  inList(plateauNotReached),
  inList(temperatureOffPlan),
  inList(readingDue),
  inList(instrumentSilent),
  inList(instrumentFault),
  inList(calibrationOverdue),
]

/** Of no bench: looked at once for the whole site. */
export const SITE_ALARM_RULES: readonly AlarmRule<SiteAlarmView>[] = [
  forwardingBacklog,
  readingsRefused,
  recordBacklog,
  recordRefused,
  diskNearlyFull,
  deliveryFailing,
  loggingStopped,
]

export const ruleNamed = (name: string): AlarmRule | AlarmRule<SiteAlarmView> | undefined =>
  ALARM_RULES.find((rule) => rule.name === name) ?? SITE_ALARM_RULES.find((rule) => rule.name === name)
