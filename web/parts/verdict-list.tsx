import type { Verdict } from '../../server/wire.ts'
import { ABOUT, AGAINST, ANSWER } from '../words.ts'

export const VerdictList = ({ verdicts }: { readonly verdicts: readonly Verdict[] }) =>
  verdicts.length === 0 ? null : (
    <ul class="verdicts">
      {verdicts.map((verdict) => (
        <li key={`${verdict.about}${verdict.against}`}>
          <b>
            {ABOUT[verdict.about]} against {AGAINST[verdict.against]}: {ANSWER[verdict.answer]}
          </b>
          . {verdict.text}
          {verdict.causes.length > 0 && (
            <>
              {' '}
              What could be behind it:
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
