export const ALARM_NAMES = [
  'room-ozone-ceiling',
  'room-ozone-8-h',
  'potency-below-target',
  'will-fall-below-target',
  'batch-past-age-limit',
  'batch-left-alone',
  'prep-time-over',
  'plateau-not-reached',
  'temperature-off-plan',
  'reading-due',
  'instrument-silent',
  'instrument-fault',
  'calibration-overdue',
  'forwarding-backlog',
  'readings-refused',
  'record-backlog',
  'record-refused',
  'disk-nearly-full',
  'delivery-failing',
  'logging-stopped',
] as const

export type AlarmName = (typeof ALARM_NAMES)[number]
