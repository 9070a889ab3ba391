import type { TrialHead } from '../wire.ts'
import type { TrialDeed } from './trial.ts'

export const deedView = ({ at, who, why }: TrialDeed): TrialHead['planned'] => ({
  at,
  by: who.name,
  how: who.how,
  why,
})
