import { instantOf } from '../../server/wording/site-clock.ts'
import { refused, type Typed } from './typed.ts'

/** When something was done: the moment typed, by the site's clock, as ISO 8601 in UTC; undefined when left empty, for now. */
export const momentTyped = (zone: string, text: string, now_ms: number): Typed<string | undefined> => {
  if (text === '') return { kind: 'data', data: undefined }
  const at_ms = instantOf(zone, text)
  if (at_ms === null) return refused('Type date and time in full, or leave both empty for now.')
  if (at_ms > now_ms)
    return refused('The time it was done lies in the future: correct it, or leave it empty.')
  return { kind: 'data', data: new Date(at_ms).toISOString() }
}
