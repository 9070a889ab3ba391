/** The address of a screen. Pure; `router.tsx` ties it to the browser's history. */
export type Route =
  | { readonly screen: 'benches' }
  | { readonly screen: 'bench'; readonly bench: string }
  | { readonly screen: 'batches' }
  | { readonly screen: 'record'; readonly batch: string }
  | { readonly screen: 'trials' }
  | { readonly screen: 'trial'; readonly trial: string }
  | { readonly screen: 'alarms' }
  | { readonly screen: 'instruments' }
  | { readonly screen: 'set-up'; readonly instrument: string | null }
  | { readonly screen: 'plan' }
  | { readonly screen: 'sheets' }
  | { readonly screen: 'program' }
  | { readonly screen: 'people' }
  | { readonly screen: 'me' }
  | { readonly screen: 'welcome' }
  | { readonly screen: 'unknown' }

export const routeOf = (path: string): Route => {
  const [first, second, ...more] = path.split('/').filter((part) => part !== '')
  if (more.length > 0) return { screen: 'unknown' }
  if (first === undefined) return { screen: 'benches' }
  if (first === 'bench' && second !== undefined) return { screen: 'bench', bench: plain(second) }
  if (first === 'batches' && second !== undefined) return { screen: 'record', batch: plain(second) }
  if (first === 'trials' && second !== undefined) return { screen: 'trial', trial: plain(second) }
  if (first === 'set-up') return { screen: 'set-up', instrument: second === undefined ? null : plain(second) }
  if (second !== undefined) return { screen: 'unknown' }
  const screen = PLAIN.find((name) => name === first)
  return { screen: screen ?? 'unknown' }
}

/** Screens whose address is their name. */
const PLAIN = [
  'batches',
  'plan',
  'sheets',
  'trials',
  'alarms',
  'instruments',
  'program',
  'people',
  'me',
  'welcome',
] as const

export const benchPath = (bench: string): string => `/bench/${encodeURIComponent(bench)}`
export const setUpPath = (instrument?: string): string =>
  instrument === undefined ? '/set-up' : `/set-up/${encodeURIComponent(instrument)}`
export const recordPath = (batch: string): string => `/batches/${encodeURIComponent(batch)}`

export const trialPath = (trial: string): string => `/trials/${encodeURIComponent(trial)}`

const plain = (part: string): string => {
  try {
    return decodeURIComponent(part)
  } catch {
    return part
  }
}
