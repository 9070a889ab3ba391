/** What changed about an alarm, in words; the states are those of ANSI/ISA-18.2. */
export const alarmChange = (from: string, to: string): string => {
  switch (to) {
    case 'unacknowledged':
      return 'Alarm raised'
    case 'acknowledged':
      return 'Alarm acknowledged'
    case 'returned-unacknowledged':
      return 'Alarm returned to normal, not yet acknowledged'
    case 'normal':
      return BACK_TO_NORMAL[from] ?? 'Alarm returned to normal'
    case 'suppressed-by-design':
      return 'Alarm suppressed by design'
    case 'shelved':
      return 'Alarm shelved'
    case 'out-of-service':
      return 'Alarm taken out of service'
    default:
      return `Alarm, from ${plain(from)} to ${plain(to)}`
  }
}

const BACK_TO_NORMAL: Readonly<Record<string, string>> = {
  'returned-unacknowledged': 'Alarm acknowledged after it had returned to normal',
  'suppressed-by-design': 'Alarm no longer suppressed',
  shelved: 'Alarm no longer shelved',
  'out-of-service': 'Alarm back in service',
}

const plain = (state: string): string => state.replaceAll('-', ' ')
