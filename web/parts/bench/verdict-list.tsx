import type { Verdict } from '../../../server/wire.ts'
import { withReasons } from '../../../server/wording/reasons.ts'
import { AGAINST, ANSWER } from '../../../server/wording/words.ts'

const ORDER = ['expectation', 'history', 'rule-of-thumb'] as const

/** Each comparison in the server's words, by what it is held against; what differs lists what could be behind it. */
export const VerdictList = ({ verdicts }: { readonly verdicts: readonly Verdict[] }) => (
  <>
    {ORDER.map((against) => {
      const held = verdicts.filter((v) => v.against === against)
      return (
        held.length > 0 && (
          <section key={against} class="verdict-group">
            <h3>{AGAINST[against]}</h3>
            <ul class="verdicts">
              {held.map((verdict, i) => (
                // the same comparison comes once for each phase
                <Item key={i} verdict={verdict} />
              ))}
            </ul>
          </section>
        )
      )
    })}
  </>
)

const Item = ({ verdict }: { readonly verdict: Verdict }) => (
  <li class={`verdict-${verdict.answer}`}>
    <span class="verdict-word">{ANSWER[verdict.answer]}</span> {withReasons(verdict.text)}
    {verdict.causes.length > 0 && (
      <>
        . What could be behind it:
        <ul>
          {verdict.causes.map((cause) => (
            <li key={cause}>{cause}</li>
          ))}
        </ul>
      </>
    )}
  </li>
)
