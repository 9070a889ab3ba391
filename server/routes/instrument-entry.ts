import { ServerError } from '../errors.ts'
import type { EntryData, Who } from '../ledger/entry.ts'
import type { Service } from '../service.ts'

interface By {
  readonly id: string
  readonly who: Who
  /** When it was done; undefined: now. */
  readonly happened_at: string | undefined
}

type Kind = 'calibration' | 'instrument-check' | 'step-test'

/** Appends what was done at an instrument, dated back where it was done earlier. What was shown before stays as it was. */
export const appendInstrumentEntry = <K extends Kind>(
  service: Service,
  { id, who, happened_at }: By,
  kind: K,
  data: EntryData<K>,
) => {
  const now = new Date(service.clock.nowMs()).toISOString()
  if (happened_at !== undefined) checkDate(service, kind, happened_at, now)
  return service.ledger.append<K>({
    id,
    happened_at: happened_at ?? now,
    entered_at: now,
    bench: null,
    batch: null,
    who,
    kind,
    data,
  }).entry
}

/**
 * Throws `bad-request` for a moment that has not come yet or lies before anything else on record. A step test rests on
 * stored readings, and may be the very first entry.
 */
const checkDate = ({ ledger, config }: Service, kind: Kind, at: string, now: string): void => {
  const told = (iso: string) => siteTime(iso, config.zone)
  const fix = 'correct date and time, or leave them empty for now'
  if (Date.parse(at) > Date.parse(now))
    throw new ServerError('bad-request', `the time it was done, ${told(at)}, lies in the future`, { fix })
  if (kind === 'step-test') return
  const first = ledger.beginsAt() ?? now
  if (Date.parse(at) < Date.parse(first))
    throw new ServerError(
      'bad-request',
      `the time it was done, ${told(at)}, lies before the first entry of this site, ${told(first)}: nothing was recorded then`,
      { fix: `${fix}; an older date belongs under the certificate` },
    )
}

/** "2026-03-14 09:00:00 (Europe/Lisbon)": as the person typed it. */
const siteTime = (iso: string, zone: string): string => {
  const wall = new Intl.DateTimeFormat('sv-SE', { timeZone: zone, dateStyle: 'short', timeStyle: 'medium' })
  return `${wall.format(new Date(iso))} (${zone})`
}

/** Throws `not-found` where no such channel was ever wired. */
export const checkWired = ({ store }: Service, instrument: string, channel: string): void => {
  if (store.wiring().some((s) => s.instrument === instrument && s.channel === channel)) return
  throw new ServerError('not-found', `${instrument} has no channel ${channel}`, {
    fix: 'see /api/instruments',
  })
}
