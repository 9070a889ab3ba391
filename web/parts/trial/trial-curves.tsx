import { useState } from 'preact/hooks'
import type { TrialCurves, TrialView } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { Choice } from '../form/field.tsx'
import { Plot, type Scale } from '../form/plot.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

type Phase = 'rise' | 'decay'
type Batch = TrialCurves[number]
type Curve = NonNullable<Batch['rise']>

const ACROSS = { rise: 'minutes since ozone-on', decay: 'minutes since flow-off' } as const

/** Fitted curves over each other with their bands, and what each fit leaves of its readings. */
export const TrialCurvePlots = ({ trial }: { readonly trial: TrialView }) => {
  const [asked] = useAsked<TrialCurves>(
    trial.members.length === 0 ? null : `/api/trials/${trial.id}/curves`,
    `${trial.newest_seq}/${trial.ledger_entries}`,
  )
  const [chosen, setChosen] = useState('')
  if (trial.members.length === 0) return null
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  if (asked.kind === 'asking')
    return (
      <section>
        <h2>Fitted curves</h2>
        <p class="empty">Asking …</p>
      </section>
    )
  const batches = asked.value
  if (PHASES.every((phase) => shownIn(batches, phase).length === 0)) return null
  const groups = [...new Set(batches.map((b) => b.group))]
  return (
    <section>
      <h2>Fitted curves</h2>
      <p class="hint">
        Grey: 95 % band of each curve. Points: readings it rests on, thinned.{' '}
        {groups.length > 1 &&
          `Lines: ${groups.map((g, i) => `${g ?? 'no group'} ${LINES[i % LINES.length]}`).join(', ')}. `}
        Pale line: does not count.
      </p>
      <Choice
        label="One batch in front"
        value={chosen}
        onValue={setChosen}
        options={batches.map((b) => [b.id, b.number] as const)}
        none="all alike"
      />
      <div class="plots">
        {PHASES.map((phase) => (
          <Curves key={phase} batches={batches} groups={groups} phase={phase} chosen={chosen} />
        ))}
      </div>
      <h2>Residuals</h2>
      <p class="hint">
        Reading less fit. A cloud about zero is a fit that follows; a bend in it is one that does not.
      </p>
      <div class="plots">
        {PHASES.map((phase) => (
          <Residuals key={phase} batches={batches} phase={phase} chosen={chosen} />
        ))}
      </div>
    </section>
  )
}

const PHASES: readonly Phase[] = ['rise', 'decay']
const LINES = ['full', 'dashed', 'dotted', 'long dashes', 'short dashes', 'close dashes'] as const

interface PlotProps {
  readonly batches: TrialCurves
  readonly phase: Phase
  /** Id of the batch in front; empty: none. */
  readonly chosen: string
}

const shownIn = (batches: TrialCurves, phase: Phase): (Batch & { readonly curve: Curve })[] =>
  batches.flatMap((batch) => {
    const own = batch[phase]
    return own && own.minutes.length > 1 ? [{ ...batch, curve: own }] : []
  })

const endOf = (shown: readonly { readonly curve: Curve }[]): number =>
  Math.max(...shown.map(({ curve }) => curve.minutes.at(-1) ?? 0))

const Curves = ({ batches, groups, phase, chosen }: PlotProps & { readonly groups: readonly unknown[] }) => {
  const shown = shownIn(batches, phase)
  if (shown.length === 0) return null
  const draw = (scale: Scale) => (
    <>
      {shown.map((b) => (
        <polygon key={b.id} class={dim(b, chosen, 'plot-curve-band')} points={bandPoints(b.curve, scale)} />
      ))}
      {shown.map((b) => (
        <g key={b.id} class={dim(b, chosen, 'plot-seen')}>
          {b.curve.seen.map(([minute, value]) => (
            <circle key={minute} cx={scale.x(minute)} cy={scale.y(value)} r={1.6} />
          ))}
        </g>
      ))}
      {shown.map((b) => (
        <polyline
          key={b.id}
          class={dim(
            b,
            chosen,
            `plot-curve plot-line-${groups.indexOf(b.group) % LINES.length}${b.pooled ? '' : ' plot-pale'}`,
          )}
          points={b.curve.minutes.map((m, i) => `${scale.x(m)},${scale.y(b.curve.mean[i] ?? 0)}`).join(' ')}
        >
          <title>{b.number}</title>
        </polyline>
      ))}
    </>
  )
  const values = shown.flatMap(({ curve }) => [...curve.high, ...curve.seen.map(([, value]) => value)])
  return (
    <Plot
      title="dissolved ozone, µg/mL"
      across={ACROSS[phase]}
      ticks
      range={{ from: 0, to: endOf(shown), values: [0, ...values] }}
      draw={draw}
    />
  )
}

const Residuals = ({ batches, phase, chosen }: PlotProps) => {
  const shown = shownIn(batches, phase).filter((b) => b.curve.seen.length > 0)
  if (shown.length === 0) return null
  const draw = ({ x, y }: Scale) => (
    <>
      <line class="plot-centre" x1={x(0)} x2={x(endOf(shown))} y1={y(0)} y2={y(0)} />
      {shown.map((b) => (
        <g key={b.id} class={dim(b, chosen, 'plot-residual')}>
          {b.curve.seen.map(([minute, , residual]) => (
            <circle key={minute} cx={x(minute)} cy={y(residual)} r={2} />
          ))}
        </g>
      ))}
    </>
  )
  return (
    <Plot
      title={`reading less fit, µg/mL, ${phase === 'rise' ? 'while ozone was on' : 'while it fell'}`}
      across={ACROSS[phase]}
      ticks
      range={{
        from: 0,
        to: endOf(shown),
        values: shown.flatMap(({ curve }) => curve.seen.map(([, , residual]) => residual)),
      }}
      draw={draw}
    />
  )
}

/** With one batch in front the others step back. */
const dim = ({ id }: Batch, chosen: string, name: string): string =>
  chosen === '' || chosen === id ? name : `${name} plot-back`

const bandPoints = ({ minutes, low, high }: Curve, { x, y }: Scale): string =>
  [
    ...minutes.map((m, i) => `${x(m)},${y(high[i] ?? 0)}`),
    ...minutes.map((m, i) => `${x(m)},${y(low[i] ?? 0)}`).reverse(),
  ].join(' ')
