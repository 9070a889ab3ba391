import type { LiveBench } from '../../server/wire.ts'
import { concentration } from '../../server/wording/format.ts'
import { decisionWords, FLUID, PHASE, underWay } from '../../server/wording/words.ts'
import { type Heard, serverNow } from '../moment.ts'
import { active, byPriority } from '../parts/alarm/alarm-list.tsx'
import { GlancePotency, GlanceTime } from '../parts/bench/glance.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { potencyShown } from '../potency-shown.ts'
import { useUnit } from '../remembered.ts'
import { benchPath } from '../route.ts'
import { Link } from '../router.tsx'
import { useApp, useNow } from '../store.ts'

/** Every bench at a glance. The fewer there are, the larger each is written. */
export const BenchesScreen = () => {
  const order = useApp((s) => s.order)
  const benches = useApp((s) => s.benches)
  const [unit] = useUnit()
  const shown = order.map((id) => benches.get(id)).filter((b) => b !== undefined)
  return (
    <div class="page">
      <h1 class="quiet-head">Benches: dissolved ozone, {unit}</h1>
      {shown.length === 0 ? (
        <p class="empty">No bench is known yet. Waiting for the server …</p>
      ) : (
        <ul class={`glance glance-${density(shown.length)}`}>
          {shown.map((heard) => (
            <Slip key={heard.value.bench} heard={heard} short={density(shown.length) === 'crowd'} />
          ))}
        </ul>
      )}
    </div>
  )
}

const density = (n: number): string => (n <= 2 ? 'few' : n <= 6 ? 'some' : n <= 15 ? 'many' : 'crowd')

interface SlipProps {
  readonly heard: Heard<LiveBench>
  readonly short: boolean
}

const Slip = ({ heard, short }: SlipProps) => {
  const now = useNow()
  const clock = useSiteClock()
  const [unit] = useUnit()
  const connected = useApp((s) => s.link === 'connected')
  const live = heard.value
  const shown = potencyShown(heard, connected, now)
  const now_ms = serverNow(live.at, heard.heard, now)
  const [worst] = live.alarms.filter(active).sort(byPriority)
  const decision = shown.form === 'live' ? glanceDecision(live, short) : null
  return (
    <li class={`slip${worst === undefined ? '' : ' slip-alarm'}`}>
      <Link to={benchPath(live.bench)}>
        <span class="slip-name">{live.name}</span>
        {live.simulated && <span class="slip-simulated">simulated</span>}
        {worst !== undefined && (
          <span class="slip-alarm-text">
            <b>Alarm{worst.state === 'acknowledged' ? ', acknowledged' : ''}:</b> {worst.text}
          </span>
        )}
        <GlancePotency shown={shown} unit={unit} clock={clock} now_ms={now_ms} live={live} />
        {decision !== null && <span class="slip-decision">{decision}</span>}
        <span class="slip-phase">
          {PHASE[live.phase.kind]}
          {live.phase.since !== null && ` since ${clock.near(live.phase.since, now_ms)}`}
          {!short && live.batch !== null && live.phase.kind !== 'no-batch' && ` · ${FLUID[live.batch.fluid]}`}
        </span>
        <GlanceTime live={live} shown={shown} clock={clock} now_ms={now_ms} short={short} />
      </Link>
    </li>
  )
}

const glanceDecision = (live: LiveBench, short: boolean): string | null => {
  const target = live.batch?.target_mg_l ?? null
  if (!short || target === null) return decisionWords(live)
  const set = concentration(target)
  return {
    above: `Above ${set}`,
    below: underWay(live.phase) ? `Not yet at ${set}` : `Below ${set}`,
    'too-close-to-say': `Too close to ${set} to say`,
    'not-calibrated': 'Not calibrated',
    'no-target': null,
    'no-value': null,
  }[live.decision]
}
