import { z } from 'zod'
import type { SpotSettled } from '../acting/act.ts'
import { ServerError } from '../errors.ts'
import type { Service } from '../service.ts'
import type { SpotAsked, SpotTold } from '../spot/take-spot.ts'
import { spotAnswer } from '../wire/spot-schema.ts'
import type { SpotAnswer } from '../wire.ts'
import { spotWords } from '../wording/spot-words.ts'
import type { Route } from './route.ts'

const spotQuery = z.object({
  from: z.iso.datetime().optional(),
  patience: z.coerce.number().int().min(1).max(20).default(1),
})

export const spotRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/benches/{bench}/spot-reading',
    summary: 'How far the dipped probe of a bench is since a moment; stores nothing',
    params: z.object({ bench: z.string().max(40) }),
    query: spotQuery,
    answer: spotAnswer,
    handle: ({ params, query }): SpotAnswer => {
      const { from, patience } = query as z.infer<typeof spotQuery>
      const toMs = service.clock.nowMs()
      const fromMs = Math.min(toMs, from === undefined ? toMs : Date.parse(from))
      const asked = { fromMs, toMs, patience }
      return answerOf(spotAt(service, params['bench'] ?? '', asked), asked)
    },
  },
]

/** Throws where no batch is open at the bench or no meter is wired to it. */
const spotAt = (service: Pick<Service, 'engine'>, bench: string, asked: SpotAsked): SpotTold => {
  const told = service.engine.spot(bench, asked)
  if (told) return told
  throw new ServerError('not-found', `no spot reading can be taken at bench ${bench}`, {
    fix: 'open a batch at a bench with a dissolved-ozone meter, or type the reading in',
  })
}

/** The settled value for the record; throws, saying why, while there is none. */
export const settledSpot =
  (service: Pick<Service, 'engine'>) =>
  (bench: string, asked: SpotAsked): SpotSettled => {
    const told = spotAt(service, bench, asked)
    if (told.kind === 'settled') return told
    throw new ServerError('not-possible-now', `no settled value: ${spotWords(told, waitedS(asked))}`)
  }

const waitedS = ({ fromMs, toMs }: SpotAsked): number => (toMs - fromMs) / 1000

const answerOf = (told: SpotTold, asked: SpotAsked): SpotAnswer => ({
  from: new Date(asked.fromMs).toISOString(),
  to: new Date(asked.toMs).toISOString(),
  state: told.kind === 'settling' || told.kind === 'settled' ? told.kind : 'refused',
  left_s: told.kind === 'settling' ? told.leftS : null,
  words: spotWords(told, waitedS(asked)),
  may_wait: told.kind === 'refused' && (told.why === 'drifting' || told.why === 'faulty'),
  reading: told.kind === 'settled' ? told.data : null,
})
