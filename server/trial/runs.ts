import { type Run, runOrder } from './run-order.ts'
import type { TrialPlan } from './trial.ts'

/** A batch the plan asks for: at which bench and of which group, where it rules that. */
export interface PlannedRun extends Run {
  readonly bench: string | null
  readonly group: string | null
}

/** A batch of the trial as the run order sees it. */
export interface RunBatch {
  readonly number: string
  readonly openedAt: string
  readonly bench: string
  readonly group: string | null
  /** Taken in afterwards: it fills a run, but was never in turn. */
  readonly selected: boolean
}

export interface FilledRun extends PlannedRun {
  /** Number of the batch that was made for it; null: still to be made. */
  readonly batch: string | null
  /** Whether it was the next to be made when it was opened; null while there is none, and for one of the past. */
  readonly in_turn: boolean | null
}

/** Each block of a comparison holds every group once and is made at one bench: the bench cannot be taken for the fluid. */
export const plannedRuns = (plan: TrialPlan): PlannedRun[] => {
  if (plan.kind === 'prep-time') {
    const benchOf = new Map(plan.benches.map((b) => [`bench ${b}`, b]))
    const blocks = Math.ceil(plan.batches / plan.benches.length)
    return runOrder(plan.seed, [...benchOf.keys()], blocks, plan.days).map((run) => ({
      ...run,
      bench: benchOf.get(run.what) ?? null,
      group: null,
    }))
  }
  const names = plan.groups.map((g) => g.name)
  const benches = plan.benches ?? []
  return runOrder(plan.seed, names, plan.batches, plan.days).map((run) => {
    const bench = benches[(run.block - 1) % benches.length] ?? null
    return {
      ...run,
      what: bench === null ? run.what : `${run.what}, bench ${bench}`,
      bench,
      group: run.what,
    }
  })
}

/**
 * The run order with what was made of it: each batch, in the order of their opening, takes the first run still open that it
 * fits. `batches`: those that were not left out and are not off plan; what is off plan has to be made again.
 */
export const filledRuns = (plan: TrialPlan, batches: readonly RunBatch[]): FilledRun[] => {
  const runs = plannedRuns(plan).map((run): FilledRun => ({ ...run, batch: null, in_turn: null }))
  const inOrder = [...batches].sort((a, b) => Date.parse(a.openedAt) - Date.parse(b.openedAt))
  for (const batch of inOrder) {
    const next = runs.findIndex((r) => r.batch === null)
    const own = runs.findIndex((r) => r.batch === null && fits(r, batch))
    const run = runs[own]
    if (run) runs[own] = { ...run, batch: batch.number, in_turn: batch.selected ? null : own === next }
  }
  return runs
}

/** The next batch to be made; null when all of them are there. */
export const nextRun = (runs: readonly FilledRun[]): FilledRun | null =>
  runs.find((r) => r.batch === null) ?? null

const fits = (run: PlannedRun, batch: RunBatch): boolean =>
  (run.bench === null || run.bench === batch.bench) && (run.group === null || run.group === batch.group)
