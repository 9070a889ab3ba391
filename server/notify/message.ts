import type { Priority } from '../../ingest/config-delivery.ts'
import { NOT_A_DEVICE } from '../wording/cautions.ts'
import { roughly } from '../wording/format.ts'
import { siteClock } from '../wording/site-clock.ts'
import type { Delivery, Told, What } from './delivery.ts'

export interface Place {
  readonly site: string
  /** IANA zone in which times are told. */
  readonly zone: string
}

export interface MessageContext extends Place {
  readonly nowMs: number
  /** Later than this after it was due counts as late, ms. */
  readonly lateAfterMs: number
  /** The receiver was told before that it was raised. */
  readonly wasTold: boolean
}

/** One message, as words for a mail and as JSON for a program. */
export interface Message {
  readonly subject: string
  readonly text: string
  readonly json: MessageJson
}

/** Body of a webhook. Times are ISO 8601 in UTC. */
export interface MessageJson {
  readonly schema: 'spargewatch.alarm/1'
  readonly id: string
  readonly what: What | 'raised-and-over' | 'test'
  readonly site: string
  readonly zone: string
  readonly simulated: boolean
  readonly alarm: string
  readonly bench: string | null
  readonly bench_name: string | null
  readonly batch: string | null
  readonly priority: Priority | null
  readonly text: string
  readonly what_to_do: string | null
  readonly raised_at: string | null
  readonly over_at: string | null
  readonly over_how: 'returned' | 'no-longer-applies' | null
  readonly seen_at: string | null
  readonly sent_at: string
  readonly late_s: number | null
}

/** Words of one delivery, as of now: how late it is, and what happened meanwhile. */
export const messageOf = (delivery: Delivery, context: MessageContext): Message => {
  const { told } = delivery
  const lateMs = context.nowMs - delivery.firstDueMs
  const isLate = lateMs > context.lateAfterMs
  const what = whatNow(delivery.what, told, context.wasTold)
  const lateWords = isLate
    ? [`This message is LATE by ${roughly(lateMs / 1000)}: it could not be delivered before.`]
    : []
  return {
    subject: `${told.simulated ? 'SIMULATED: ' : ''}${isLate ? 'LATE: ' : ''}${HEADLINE[what](told)}: ${whereOf(told)}${told.text} (${context.site})`,
    text: [
      ...(told.simulated ? ['SIMULATED: these are no real readings.', ''] : []),
      ...lateWords,
      `${context.site}${told.bench === null ? '' : `, ${told.bench.name}`}`,
      `${HEADLINE[what](told)}: ${told.text}`,
      ...timesOf(told, context.zone),
      ...(told.batch === null ? [] : [`Batch: ${told.batch}`]),
      ...todoOf(told),
      '',
      `Acknowledge at the screen, under Alarms; nobody reads a reply to this message. Spargewatch: ${NOT_A_DEVICE}`,
    ].join('\n'),
    json: {
      schema: 'spargewatch.alarm/1',
      id: delivery.id,
      what,
      site: context.site,
      zone: context.zone,
      simulated: told.simulated,
      alarm: told.alarm,
      bench: told.bench?.id ?? null,
      bench_name: told.bench?.name ?? null,
      batch: told.batch,
      priority: told.priority,
      text: told.text,
      what_to_do: told.over === null ? told.whatToDo : null,
      raised_at: told.raisedAt,
      over_at: told.over?.at ?? null,
      over_how: told.over?.how ?? null,
      seen_at: told.seenAt,
      sent_at: new Date(context.nowMs).toISOString(),
      late_s: isLate ? Math.round(lateMs / 1000) : null,
    },
  }
}

type WhatNow = What | 'raised-and-over'

const whatNow = (what: What, { over }: Told, wasTold: boolean): WhatNow =>
  what === 'returned' && over !== null && !wasTold ? 'raised-and-over' : what

const HEADLINE: Readonly<Record<WhatNow, (told: Told) => string>> = {
  raised: ({ priority }) => `ALARM, ${priority} priority`,
  'raised-again': ({ priority }) => `ALARM AGAIN, ${priority} priority`,
  'not-acknowledged': ({ priority }) => `NOBODY HAS ACKNOWLEDGED this alarm, ${priority} priority`,
  returned: ({ over }) => (over?.how === 'no-longer-applies' ? 'No longer applies' : 'Returned to normal'),
  'raised-and-over': () => 'Over meanwhile',
}

const whereOf = ({ bench }: Told): string => (bench === null ? '' : `${bench.name}, `)

const timesOf = ({ raisedAt, over, seenAt }: Told, zone: string): string[] => [
  `Raised: ${at(raisedAt, zone)}`,
  ...(over === null
    ? []
    : [
        `${over.how === 'returned' ? 'Returned to normal' : 'No longer applies since'}: ${at(over.at, zone)}`,
      ]),
  ...(seenAt === null ? [] : [`Somebody at the screen dealt with it: ${at(seenAt, zone)}`]),
]

const todoOf = ({ over, whatToDo }: Told): string[] => {
  if (over !== null) return []
  return ['', `What to do: ${whatToDo ?? 'see the screen, under Alarms.'}`]
}

/** "2026-03-14 09:08:10 (Europe/Lisbon)" */
const at = (iso: string, zone: string): string => `${siteClock(zone).full(iso)} (${zone})`

/** What `spargewatch deliver --try` sends. */
export const testMessage = (id: string, place: Place, simulated: boolean, nowMs: number): Message => {
  const words = 'Test message: nothing is wrong. Alarms of this site will be told here.'
  const sentAt = new Date(nowMs).toISOString()
  return {
    subject: `${simulated ? 'SIMULATED: ' : ''}Test message from Spargewatch (${place.site})`,
    text: [place.site, words, `Sent: ${at(sentAt, place.zone)}`].join('\n'),
    json: {
      schema: 'spargewatch.alarm/1',
      id,
      what: 'test',
      site: place.site,
      zone: place.zone,
      simulated,
      alarm: 'test',
      bench: null,
      bench_name: null,
      batch: null,
      priority: null,
      text: words,
      what_to_do: null,
      raised_at: null,
      over_at: null,
      over_how: null,
      seen_at: null,
      sent_at: sentAt,
      late_s: null,
    },
  }
}
