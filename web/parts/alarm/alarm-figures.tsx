import type { AlarmPerformanceView } from '../../../server/wire.ts'
import { alarmKeyWords } from '../../../server/wording/alarm-words.ts'
import { decimal, duration } from '../../../server/wording/format.ts'
import { useAsked } from '../../ask.ts'
import { Fact } from '../form/fact.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

/** How the alarms themselves do: the figures ANSI/ISA-18.2 asks for, of the last thirty days. */
export const AlarmFigures = ({ version }: { readonly version: unknown }) => {
  const [asked] = useAsked<AlarmPerformanceView>('/api/alarms/performance?days=30', version)
  if (asked.kind === 'asking') return <p>Asking …</p>
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  const { value } = asked
  return (
    <dl class="facts">
      <Fact name="Raised in 30 days">
        {`${value.raised} (high ${value.by_priority.high}, medium ${value.by_priority.medium}, low ${value.by_priority.low})`}
      </Fact>
      <Fact name="A day">{decimal(value.per_day, 1)}</Fact>
      <Fact name="Most within ten minutes">
        {`${value.most_in_ten_minutes}${value.floods > 0 ? `; more than ten, ${value.floods} times: a flood` : ''}`}
      </Fact>
      <Fact name="Acknowledged after, half of them sooner">
        {value.acknowledged_after_s === null ? 'none was' : duration(value.acknowledged_after_s)}
      </Fact>
      <Fact name="Chattering, three times within a minute">{listed(value.chattering)}</Fact>
      <Fact name="Stale, there for more than a day">{listed(value.stale)}</Fact>
      <Fact name="Most often">
        {value.most_often.length === 0
          ? 'none'
          : value.most_often
              .slice(0, 5)
              .map(({ key, raised }) => `${alarmKeyWords(key)}: ${raised}`)
              .join('; ')}
      </Fact>
    </dl>
  )
}

const listed = (keys: readonly string[]): string =>
  keys.length === 0 ? 'none' : keys.map(alarmKeyWords).join('; ')
