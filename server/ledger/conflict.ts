import { ServerError } from '../errors.ts'
import type { Entry } from './entry.ts'
import { isAboutTheRecord } from './people-entry.ts'

/** Somebody entered something that the one who enters now has not seen. */
export const conflictWith = (newer: readonly Entry[]): ServerError =>
  new ServerError(
    'conflict',
    `${newer.length} newer ${newer.length === 1 ? 'entry was' : 'entries were'} made for this batch meanwhile`,
    { fix: 'look at the newer entries, then decide again', context: { entries: newer } },
  )

/** What people did after `seq`. What the program writes meanwhile (alarms, gaps) and signatures stand in nobody's way. */
export const newerByPeople = (entries: readonly Entry[], seq: number): Entry[] =>
  entries.filter(
    (entry) =>
      entry.seq > seq &&
      entry.who.how !== 'program' &&
      entry.kind !== 'alarm' &&
      !isAboutTheRecord(entry.kind),
  )
