import type { Verdict } from '../../../server/wire.ts'

/** A batch that does not do what this clinic's own batches lead to expect says so where it is looked at. */
export const OutsideNote = ({ verdicts }: { readonly verdicts: readonly Verdict[] }) => {
  const outside = verdicts.filter((v) => v.against === 'history' && v.answer === 'differs')
  if (outside.length === 0) return null
  return (
    <section class="outside" aria-label="Outside what was expected">
      <p>
        <b>Not as your own batches lead to expect.</b>
      </p>
      <ul>
        {outside.map((v) => (
          <li key={v.text}>
            {v.text}.{v.causes.length > 0 && ` Look at: ${v.causes.join(', ')}.`}
          </li>
        ))}
      </ul>
    </section>
  )
}
