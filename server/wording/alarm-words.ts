import type { AlarmSettingView } from '../wire.ts'

/** Each alarm by its name. */
export const ALARM_TITLE: Readonly<Record<AlarmSettingView['alarm'], string>> = {
  'room-ozone-ceiling': 'Ozone in the room',
  'room-ozone-8-h': 'Ozone in the room, average of 8 h',
  'potency-below-target': 'Below the value you set',
  'will-fall-below-target': 'Will fall below the value you set',
  'batch-past-age-limit': 'Batch past its age limit',
  'batch-left-alone': 'Batch left alone',
  'prep-time-over': 'Planned prep time over, ozone still on',
  'plateau-not-reached': 'Has not levelled off at the planned prep time',
  'temperature-off-plan': 'Fluid temperature off plan',
  'reading-due': 'Reading by hand due',
  'instrument-silent': 'Meter silent',
  'instrument-fault': 'Meter or thermometer faulty',
  'calibration-overdue': 'Calibration overdue',
  'forwarding-backlog': 'Readings wait to be sent on',
  'readings-refused': 'Readings refused elsewhere',
  'record-backlog': 'Entries wait to be sent on',
  'record-refused': 'Entries refused elsewhere',
  'disk-nearly-full': 'Disk nearly full',
  'delivery-failing': 'Alarms do not get to others',
  'logging-stopped': 'Logging stopped',
}

/** "A:reading-due" as a person reads it. */
export const alarmKeyWords = (key: string): string => {
  const at = key.lastIndexOf(':')
  const place = key.slice(0, at)
  const name = key.slice(at + 1)
  const title = (ALARM_TITLE as Readonly<Record<string, string>>)[name] ?? name.replaceAll('-', ' ')
  return place === 'site' ? title : `${title}, bench ${place}`
}
