/** What alarms of the whole site look at. */
export interface SiteAlarmView {
  /** `none` where nothing is sent on to another place; `unknown` when its state cannot be read. */
  readonly forwarding: SendingSeen | 'none' | 'unknown'
  /** The same of the entries of the record. */
  readonly mirror: SendingSeen | 'none' | 'unknown'
  readonly disk: DiskSeen | 'unknown'
  /** `none` where nobody is told elsewhere. */
  readonly delivery: DeliverySeen | 'none' | 'unknown'
  /** For how long the logging program has said nothing, s. */
  readonly loggingSilentS: number | 'unknown'
}

/** How well those are reached who are to be told of alarms elsewhere. */
export interface DeliverySeen {
  /** Why its settings cannot be used; null when they can. */
  readonly fault: string | null
  /** Age of the oldest message that was tried and not delivered yet, s; null: there is none. */
  readonly oldestTriedS: number | null
  /** A place answers, but does not let the program in. */
  readonly notLetIn: boolean
  /** Receivers to whom a message waits after a try. */
  readonly notReached: readonly string[]
  /** Receivers that refused the last message for good, within a day. */
  readonly refusedBy: readonly string[]
}

export interface SendingSeen {
  /** Age of the oldest one (of readings: of a wired meter) that the other place has not acknowledged, s; null: none waits. */
  readonly oldestWaitingS: number | null
  /** What waits is being worked off: the oldest is younger than at the last look. */
  readonly isCatchingUp: boolean
  readonly alive: boolean
  /** The other place answers, but does not let the program in. */
  readonly notLetIn: boolean
  /** Since the newest one that was refused, s; null: none on the list. */
  readonly refusedAgoS: number | null
}

export interface DiskSeen {
  readonly freeBytes: number
  readonly totalBytes: number
  /** At the present rate; null: not known, or not in a hundred years. */
  readonly daysUntilFull: number | null
}
