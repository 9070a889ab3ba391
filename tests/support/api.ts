import { v7 as uuidv7 } from 'uuid'
import type {
  Act,
  Acted,
  Action,
  AlarmView,
  BatchRecord,
  Health,
  LiveBench,
  Problem,
} from '../../server/wire.ts'

export interface Answer<T> {
  readonly status: number
  readonly type: string
  readonly body: T
}

const answerOf = async <T>(response: Response): Promise<Answer<T>> => {
  const text = await response.text()
  const type = response.headers.get('content-type') ?? ''
  return { status: response.status, type, body: (type.includes('json') ? JSON.parse(text) : text) as T }
}

export const get = async <T>(address: string, path: string): Promise<T> => {
  const answer = await answerOf<T>(await fetch(`${address}${path}`))
  if (answer.status !== 200) throw new Error(`GET ${path}: ${answer.status} ${JSON.stringify(answer.body)}`)
  return answer.body
}

export const post = async <T>(address: string, path: string, body: unknown): Promise<Answer<T>> =>
  answerOf<T>(
    await fetch(`${address}${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    }),
  )

export const OPENING: Action = {
  kind: 'batch-opened',
  data: {
    fluid: 'saline',
    volume_ml: 250,
    target_mg_l: 15,
    measuring_place: 'companion-flask',
    purge: 'none',
  },
}

/** One person at one bench, who enters things the way a screen does. */
export const person = (address: string, who = 'Ines', bench = 'A') => {
  const enter = (batch: string, entry: Action, expectedSeq: number, more: Partial<Act> = {}) =>
    post<Acted & Problem>(address, `/api/batches/${batch}/entries`, {
      id: uuidv7(),
      bench,
      who,
      expected_seq: expectedSeq,
      entry,
      ...more,
    } satisfies Act)
  /** Enters with the newest state in view; fails unless the program takes it. */
  const does = async (batch: string, entry: Action, more: Partial<Act> = {}): Promise<Acted> => {
    const there = await fetch(`${address}/api/batches/${batch}`)
    const seq = there.ok ? ((await there.json()) as BatchRecord).summary.head.seq : 0
    const answer = await enter(batch, entry, seq, more)
    if (answer.status !== 200) throw new Error(`${entry.kind}: ${answer.status} ${answer.body.detail}`)
    return answer.body
  }
  const opens = async (opening: Action = OPENING): Promise<string> => {
    const batch = uuidv7()
    await does(batch, opening)
    return batch
  }
  return {
    enter,
    does,
    opens,
    bench: () => get<LiveBench>(address, `/api/benches/${bench}`),
    record: (batch: string) => get<BatchRecord>(address, `/api/batches/${batch}`),
    alarm: async (alarm: string): Promise<AlarmView | undefined> =>
      (await get<AlarmView[]>(address, '/api/alarms')).find((a) => a.alarm === alarm && a.bench === bench),
    siteAlarm: async (alarm: string): Promise<AlarmView | undefined> =>
      (await get<AlarmView[]>(address, '/api/alarms')).find((a) => a.alarm === alarm && a.bench === null),
    acknowledges: (key: string) =>
      post<AlarmView>(address, `/api/alarms/${key}/acknowledgement`, { id: uuidv7(), who }),
    health: () => get<Health>(address, '/api/health'),
  }
}
