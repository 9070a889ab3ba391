import type { Health } from '../../server/wire.ts'
import { ago, duration, roughly } from '../../server/wording/format.ts'
import { useAsked } from '../ask.ts'
import { Fact } from '../parts/form/fact.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { ForwardingPanel } from '../parts/program/forwarding-panel.tsx'
import { RefusedList, RefusedTable } from '../parts/program/refused-list.tsx'
import { StoreFacts } from '../parts/program/store-facts.tsx'
import { useNow } from '../store.ts'

const EVERY_MS = 3000

/** What the program itself is doing: ports, readings, what it threw out and why, the ledger. */
export const ProgramScreen = () => {
  const now = useNow()
  const [asked] = useAsked<Health>('/api/health', Math.floor(now.mono_ms / EVERY_MS))
  return (
    <div class="page">
      <h1>What the program is doing</h1>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && <Doing health={asked.value} />}
    </div>
  )
}

const Doing = ({ health }: { readonly health: Health }) => {
  const clock = useSiteClock()
  const { daemon, ledger, rules_of_thumb: rules, wiring } = health
  const at = Date.parse(health.at)
  return (
    <>
      <div class="panel">
        <dl class="facts">
          <Fact name="State">{health.status === 'working' ? 'working' : 'working in part: see below'}</Fact>
          <Fact name="As of">
            {clock.full(health.at)} ({clock.zone})
          </Fact>
          <Fact name="Version">{health.version}</Fact>
          {wiring.refused !== null && (
            <Fact name="Wiring">
              <b>The changed file is not in force:</b> {wiring.refused}
            </Fact>
          )}
          <Fact name="Rules of thumb">
            {rules.fault === null ? `${rules.entries} entries` : `FAULT: ${rules.fault}`}
          </Fact>
          <Fact name="Running for">{duration(health.uptime_s)}</Fact>
          <Fact name="Logging program">
            {daemon.alive ? 'alive' : <b>silent: readings are not being logged</b>}
            {daemon.seen_at !== null && `, seen ${ago((at - Date.parse(daemon.seen_at)) / 1000)}`}
          </Fact>
          <Fact name="Alarms told elsewhere">{toldWords(health.delivery)}</Fact>
          <Fact name="Readings stored">{health.store.readings}</Fact>
          <StoreFacts store={health.store} />
          <Fact name="Ledger entries">{ledger.entries}</Fact>
          <Fact name="Ledger head">
            <code>{ledger.head}</code>
          </Fact>
        </dl>
      </div>
      {health.forwarding !== null && (
        <>
          <ForwardingPanel
            forwarding={health.forwarding}
            title="Readings sent on to InfluxDB"
            of={['reading', 'readings']}
          />
          {health.forwarding.refused > 0 && <RefusedList count={health.forwarding.refused} />}
        </>
      )}
      {health.record_mirror !== null && (
        <>
          <ForwardingPanel
            forwarding={health.record_mirror}
            title="Record sent on to InfluxDB"
            of={['entry', 'entries']}
          />
          <RefusedTable rows={health.record_mirror.last_refused} of="Entry" />
        </>
      )}
      <h2>Ports</h2>
      {health.ports.length === 0 ? <p>No port is wired up.</p> : <Ports ports={health.ports} at={at} />}
    </>
  )
}

const toldWords = (delivery: Health['delivery']) => {
  if (delivery === null) return 'to nobody'
  if (delivery.fault !== null) return <b>to nobody: the settings cannot be used, see Alarms</b>
  if (delivery.not_reached.length > 0) return <b>not to {delivery.not_reached.join(', ')}; see Alarms</b>
  return 'no trouble known'
}

const Ports = ({ ports, at }: { readonly ports: Health['ports']; readonly at: number }) => (
  <table class="list">
    <thead>
      <tr>
        <th scope="col">Port</th>
        <th scope="col">State</th>
        <th scope="col">Frames</th>
        <th scope="col">Readings</th>
        <th scope="col">Discarded</th>
        <th scope="col">Last reading</th>
      </tr>
    </thead>
    <tbody>
      {ports.map((port) => (
        <tr key={port.port}>
          <th scope="row">{port.port}</th>
          <td data-name="State">
            {port.state}
            {port.why !== null && `: ${port.why}`}
          </td>
          <td data-name="Frames">{port.frames}</td>
          <td data-name="Readings">{port.readings}</td>
          <td data-name="Discarded">{port.discarded}</td>
          <td data-name="Last reading">
            {port.last_reading_at === null
              ? 'never'
              : `${roughly((at - Date.parse(port.last_reading_at)) / 1000)} ago`}
          </td>
        </tr>
      ))}
    </tbody>
  </table>
)
