import type { AlarmView, Curves, LiveBench, LiveReadings, SessionView, Site } from '../server/wire.ts'
import { elapsedMs, type Heard, type Moment } from './moment.ts'
import { appendReadings, type Reading } from './readings-held.ts'

/** Everything the server has told this screen, and when. A pure reducer; `store.ts` holds the present one. */
export interface AppState {
  readonly site: Site | null
  readonly link: 'connecting' | 'connected' | 'disconnected'
  readonly order: readonly string[]
  readonly benches: ReadonlyMap<string, Heard<LiveBench>>
  readonly curves: ReadonlyMap<string, Curves>
  readonly readings: ReadonlyMap<string, readonly Reading[]>
  readonly alarms: readonly AlarmView[]
  /** Newest ledger sequence heard of, per batch; screens ask again when it moves. */
  readonly newest: ReadonlyMap<string, number>
  /** Newest ledger sequence heard of that belongs to no batch: method sheets and the like. */
  readonly outside: number
  /** The same of the whole record. */
  readonly newestSeq: number
  /** Who is at this screen; null until the server has said so. */
  readonly session: SessionView | null
  readonly heard: Moment | null
}

export type News =
  | { readonly kind: 'link'; readonly link: AppState['link'] }
  | { readonly kind: 'session'; readonly session: SessionView }
  | { readonly kind: 'forget' }
  | { readonly kind: 'site'; readonly site: Site }
  | { readonly kind: 'benches'; readonly benches: readonly LiveBench[] }
  | { readonly kind: 'live'; readonly live: LiveBench }
  | { readonly kind: 'curves'; readonly curves: Curves }
  | { readonly kind: 'readings'; readonly readings: LiveReadings }
  | { readonly kind: 'alarms'; readonly alarms: readonly AlarmView[] }
  | { readonly kind: 'entries'; readonly batch: string | null; readonly seq: number }

export const EMPTY: AppState = {
  site: null,
  link: 'connecting',
  order: [],
  benches: new Map(),
  curves: new Map(),
  readings: new Map(),
  alarms: [],
  newest: new Map(),
  outside: 0,
  newestSeq: 0,
  session: null,
  heard: null,
}

export const reduce = (state: AppState, news: News, heard: Moment): AppState => {
  if (news.kind === 'link') return { ...state, link: news.link }
  if (news.kind === 'session') return { ...state, session: news.session }
  if (news.kind === 'forget') return EMPTY
  return { ...fold(state, news, heard), heard }
}

const fold = (
  state: AppState,
  news: Exclude<News, { kind: 'link' | 'session' | 'forget' }>,
  heard: Moment,
): AppState => {
  switch (news.kind) {
    case 'site':
      return { ...state, site: news.site }
    case 'benches':
      return {
        ...state,
        order: news.benches.map((b) => b.bench),
        benches: new Map(news.benches.map((b) => [b.bench, newer(state.benches.get(b.bench), b, heard)])),
      }
    case 'live':
      return {
        ...state,
        order: state.order.includes(news.live.bench) ? state.order : [...state.order, news.live.bench],
        benches: put(
          state.benches,
          news.live.bench,
          newer(state.benches.get(news.live.bench), news.live, heard),
        ),
      }
    case 'curves':
      return { ...state, curves: put(state.curves, news.curves.bench, news.curves) }
    case 'readings':
      return { ...state, readings: withReadings(state.readings, news.readings) }
    case 'alarms':
      return { ...state, alarms: news.alarms }
    case 'entries':
      return {
        ...state,
        newestSeq: Math.max(state.newestSeq, news.seq),
        outside: news.batch === null ? news.seq : state.outside,
        newest: news.batch === null ? state.newest : newestOf(state.newest, news.batch, news.seq),
      }
    default:
      return news satisfies never
  }
}

/**
 * Two streams carry the same bench, so a message may be overtaken; that changes nothing. Only within moments:
 * a server whose clock was set back must not be ignored until its clock has caught up.
 */
const OVERTAKEN_WITHIN_MS = 2000

const newer = (held: Heard<LiveBench> | undefined, live: LiveBench, heard: Moment): Heard<LiveBench> =>
  held !== undefined &&
  elapsedMs(held.heard, heard) < OVERTAKEN_WITHIN_MS &&
  Date.parse(held.value.at) > Date.parse(live.at)
    ? held
    : { value: live, heard }

const withReadings = (
  held: AppState['readings'],
  { bench, channel, readings }: LiveReadings,
): AppState['readings'] =>
  channel === 'dissolved-ozone' ? put(held, bench, appendReadings(held.get(bench) ?? [], readings)) : held

/** Batches of many days; whoever opens an older one asks for it anyway. */
export const MOST_BATCHES = 200

/** The batch heard of last stands last; the one not heard of for longest is forgotten. */
const newestOf = (held: AppState['newest'], batch: string, seq: number): AppState['newest'] => {
  const others = [...held].filter(([id]) => id !== batch)
  return new Map([...others.slice(-(MOST_BATCHES - 1)), [batch, seq]])
}

const put = <V>(map: ReadonlyMap<string, V>, key: string, value: V): ReadonlyMap<string, V> =>
  new Map(map).set(key, value)
