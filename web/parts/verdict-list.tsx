import type { Verdict } from '../../server/wire.ts'
import { withReasons } from '../reasons.ts'
import { ANSWER } from '../words.ts'

/** Each comparison in the server's words; what differs stands out and lists what could be behind it. */
export const VerdictList = ({ verdicts }: { readonly verdicts: readonly Verdict[] }) =>
  verdicts.length === 0 ? null : (
    <ul class="verdicts">
      {verdicts.map((verdict) => (
        <li key={`${verdict.about}${verdict.against}`} class={`verdict-${verdict.answer}`}>
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
      ))}
    </ul>
  )
