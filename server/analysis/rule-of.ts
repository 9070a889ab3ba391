import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { Verdict } from './schema.ts'

/** A rule of thumb as it stands beside a verdict: the clinic's words and who says so. */
export const ruleOf = (rule: RuleOfThumb): NonNullable<Verdict['rule']> => ({
  id: rule.id,
  words: rule.words,
  origin: rule.origin,
  ...(rule.physics === undefined ? {} : { physics: rule.physics }),
})
