import type { TrialView } from '../wire.ts'
import type { CalibrationState } from './batch-facts.ts'
import { type MemberFacts, numberOf } from './member-facts.ts'

type State = Pick<TrialView, 'instruments' | 'uncalibrated'>

/** Which calibrations the batches of a trial rest on, each once, and which batches rest on none. */
export const calibrationsOf = (members: readonly MemberFacts[]): State => {
  const found = new Map<string, { readonly state: CalibrationState; readonly members: MemberFacts[] }>()
  for (const member of members)
    for (const state of member.facts.calibrations) {
      const key = `${state.instrument} ${state.at} ${state.slope}`
      const there = found.get(key)
      if (there) there.members.push(member)
      else found.set(key, { state, members: [member] })
    }
  return {
    instruments: [...found.values()].map(({ state, members: own }) => ({
      ...state,
      benches: [...new Set(own.map((m) => m.facts.summary.head.bench))].sort(),
      batches: own.map(numberOf),
    })),
    uncalibrated: members.filter((m) => m.facts.calibrations.length === 0).map(numberOf),
  }
}
