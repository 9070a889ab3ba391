import type { AlarmRule } from './alarm.ts'
import type { DeliverySeen, SiteAlarmView } from './site-alarm-view.ts'

/** Engineering judgement: longer than the restart of a mail server's connection, short beside the use of an alarm. */
const LONGEST_WAIT_S = 60

/** Somebody who was to be told of alarms elsewhere is not. The screens tell of them all the same. */
export const deliveryFailing: AlarmRule<SiteAlarmView> = {
  name: 'delivery-failing',
  delays: () => ({ onDelayMs: 0, offDelayMs: 10_000 }),
  condition: ({ delivery }) => {
    if (typeof delivery === 'string') return 'unknown'
    const { fault, notLetIn, refusedBy, oldestTriedS } = delivery
    if (fault !== null || notLetIn || refusedBy.length > 0) return 'active'
    if (oldestTriedS === null) return 'clear'
    return oldestTriedS >= LONGEST_WAIT_S ? 'active' : 'between'
  },
  suppressed: ({ delivery }) => delivery === 'none',
  priority: () => 'medium',
  text: ({ delivery }) => textOf(delivery),
  whatToDo: ({ delivery }) =>
    typeof delivery !== 'string' && delivery.fault !== null
      ? 'Mend what Alarms says of it in spargewatch.yaml or the file of secrets, then start the program again. Until then look at the screens.'
      : 'Look at the screens, and tell them another way. Alarms lists what could not be delivered and what was answered.',
}

const textOf = (delivery: DeliverySeen | 'none' | 'unknown'): string => {
  if (typeof delivery === 'string') return 'Alarms do not get to those who are to be told elsewhere'
  if (delivery.fault !== null) return 'Nobody is told of alarms elsewhere: its settings cannot be used'
  const names = [...new Set([...delivery.notReached, ...delivery.refusedBy])]
  const some = names.slice(0, 3).join(', ')
  return `Alarms do not get to ${some || 'those who are to be told elsewhere'}${names.length > 3 ? ` and ${names.length - 3} more` : ''}`
}
