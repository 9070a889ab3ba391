import type { Caution } from '../../../server/wording/cautions.ts'

export const CautionList = ({ cautions }: { readonly cautions: readonly Caution[] }) => (
  <dl class="cautions">
    {cautions.map(({ head, text }) => (
      <div key={head}>
        <dt>{head}</dt>
        <dd>{text}</dd>
      </div>
    ))}
  </dl>
)
