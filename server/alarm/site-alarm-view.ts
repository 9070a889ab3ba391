/** What alarms of the whole site look at. */
export interface SiteAlarmView {
  /** `none` where nothing is sent on to another place; `unknown` when its state cannot be read. */
  readonly forwarding: SendingSeen | 'none' | 'unknown'
  /** The same of the entries of the record. */
  readonly mirror: SendingSeen | 'none' | 'unknown'
  readonly disk: DiskSeen | 'unknown'
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
