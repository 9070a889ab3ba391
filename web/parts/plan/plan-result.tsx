import type { Plan, PlanWanted } from '../../../server/wire.ts'
import { BREATHING, ROOM_NOT_MEASURED } from '../../../server/wording/cautions.ts'
import { handOver } from '../../planned-sheet.ts'
import { go } from '../../router.tsx'
import { sheetOfPlan } from '../../typed/plan-typed.ts'
import { bandWords, PLAN_ROWS, wayName, wayWords } from '../../words/plan-words.ts'
import { CautionList } from '../bench/caution-list.tsx'

interface ResultProps {
  readonly plan: Plan
  readonly wanted: PlanWanted
}

/** Physics and the clinic's own batches side by side, every line from … to …. */
export const PlanResult = ({ plan, wanted }: ResultProps) => (
  <>
    <p class="hint">
      Estimates before anything is bubbled, not measurements, and no advice. Each line runs from the least to
      the greatest that cannot be ruled out.
    </p>
    <Bands plan={plan} />
    <CautionList cautions={[ROOM, BREATHING]} />
    <Ways plan={plan} wanted={wanted} />
    <p>
      <button
        type="button"
        class="big"
        onClick={() => {
          handOver(sheetOfPlan(wanted))
          go('/sheets')
        }}
      >
        Make a method sheet of this
      </button>
    </p>
    <Basis plan={plan} />
  </>
)

const ROOM = {
  head: 'Room',
  text: `Vented ozone belongs into a destruct and extraction, never into the room: the NIOSH ceiling is 0.1 ppm, at any time. The ppm above is what it would make without any of that, evenly mixed; near the exhaust it is more. ${ROOM_NOT_MEASURED.replace('Room ozone: not measured.', 'A plan measures nothing.')}`,
}

const Bands = ({ plan }: Pick<ResultProps, 'plan'>) => (
  <table class="list plan-bands">
    <thead>
      <tr>
        <th scope="col">What is expected</th>
        <th scope="col">By physics</th>
        <th scope="col">By this clinic’s own batches</th>
      </tr>
    </thead>
    <tbody>
      {PLAN_ROWS.filter(({ key }) => plan.physics.bands[key] !== undefined).map((row) => (
        <tr key={row.key}>
          <th scope="row">{row.name}</th>
          <td data-name="By physics">{bandWords(plan.physics.bands[row.key], row)}</td>
          <td data-name="By this clinic’s own batches">{bandWords(plan.own_batches.bands[row.key], row)}</td>
        </tr>
      ))}
    </tbody>
  </table>
)

const Ways = ({ plan, wanted }: ResultProps) => {
  if (wanted.target_mg_l === undefined) return null
  return (
    <section>
      <h3>What would have to change to reach {wanted.target_mg_l} µg/mL at flow-off</h3>
      {plan.ways.length === 0 ? (
        <p>Nothing: by physics all of the band reaches it.</p>
      ) : (
        <>
          <p class="hint">
            One thing at a time, by physics. None of it is recommended: what your equipment and your method
            allow comes first.
          </p>
          <dl class="facts plan-ways">
            {plan.ways.map((way) => (
              <div key={way.change}>
                <dt>{wayName(way)}</dt>
                <dd>{wayWords(way)}</dd>
              </div>
            ))}
          </dl>
        </>
      )}
    </section>
  )
}

const Basis = ({ plan }: Pick<ResultProps, 'plan'>) => (
  <section>
    <h3>What this rests on</h3>
    <ul class="notes">
      {plan.notes.map((note) => (
        <li key={note}>{note}</li>
      ))}
    </ul>
    <div class="two-columns">
      <Sources head="Physics" lines={plan.physics.basis} />
      <Sources head="This clinic’s own batches" lines={plan.own_batches.basis} />
    </div>
  </section>
)

const Sources = ({ head, lines }: { readonly head: string; readonly lines: readonly string[] }) => (
  <div>
    <h4>{head}</h4>
    <ul class="notes">
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  </div>
)
