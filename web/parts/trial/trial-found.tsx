import type { ComparisonResult, PrepTimeResult, TrialView } from '../../../server/wire.ts'
import { decimal } from '../../../server/wording/format.ts'
import { pWords } from '../../../server/wording/trial-words.ts'

/** What a trial came to, by its criteria or pair by pair. */
export const TrialFound = ({ trial: { result } }: { readonly trial: TrialView }) => (
  <section>
    <h2>Found</h2>
    {result.detail.kind === 'prep-time' ? <Prep detail={result.detail} /> : <Pairs detail={result.detail} />}
  </section>
)

const Prep = ({ detail }: { readonly detail: PrepTimeResult }) => (
  <>
    <ul>
      {detail.criteria.map(({ name, met, text }) => (
        <li key={name}>
          <b>{met === null ? 'Cannot tell' : met ? 'Met' : 'Not met'}:</b> {text}
        </li>
      ))}
    </ul>
    {detail.recommended_text !== null && (
      <p>
        <b>Recommended prep time:</b> {detail.recommended_text}
      </p>
    )}
    {detail.beside.map(({ what, text }) => (
      <p key={what} class="hint">
        {what}, beside it and deciding nothing: {text}
      </p>
    ))}
    <details class="on-paper">
      <summary>What more confidence or more batches would cost</summary>
      <table class="list">
        <caption class="hint">With the mean and spread seen so far.</caption>
        <thead>
          <tr>
            <th scope="col">Confidence</th>
            <th scope="col">Batches</th>
            <th scope="col">Prep time, min</th>
          </tr>
        </thead>
        <tbody>
          {detail.costs.map((c) => (
            <tr key={`${c.confidence_percent}/${c.batches}`}>
              <th scope="row">{c.confidence_percent} %</th>
              <td data-name="Batches">{c.batches}</td>
              <td data-name="Prep time, min">{decimal(c.minutes, 2)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
    {detail.revalidate_now.length > 0 && (
      <p class="warning">
        <b>To be proven again:</b> {detail.revalidate_now.join('; ')}.
      </p>
    )}
    <details class="on-paper">
      <summary>When to prove it again</summary>
      <ul>
        {detail.revalidate.map((when) => (
          <li key={when}>{when}</li>
        ))}
      </ul>
    </details>
  </>
)

const Pairs = ({ detail }: { readonly detail: ComparisonResult }) => (
  <>
    {detail.pairs.map((pair) => (
      <div key={`${pair.measure}/${pair.first}/${pair.second}`} class="trial-pair">
        <p>{pair.sentence}</p>
        {pair.p !== null && pair.equivalence_p !== null && (
          <p class="hint">
            p {pWords(pair.p)} after Holm; p for being within the margin {pWords(pair.equivalence_p)}
          </p>
        )}
        {pair.warnings.length > 0 && (
          <ul class="hint">
            {pair.warnings.map((warning) => (
              <li key={warning}>{warning}</li>
            ))}
          </ul>
        )}
      </div>
    ))}
    {detail.batches_needed !== null && (
      <p class="hint">
        With the spread seen, {detail.batches_needed} batches of each find a difference as large as the margin
        8 times in 10.
      </p>
    )}
  </>
)
