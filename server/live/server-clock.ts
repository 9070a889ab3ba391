/** Wall clock for people, steady clock for intervals, both in ms. */
export interface ServerClock {
  readonly nowMs: () => number
  readonly steadyMs: () => number
}
