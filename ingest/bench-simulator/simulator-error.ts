/** Everything in this folder that a caller can get wrong. Decisions read `code`; `faults` lists all of them at once. */
export class SimulatorError extends Error {
  override readonly name = 'SimulatorError'
  readonly code: 'bad-input' | 'refused-action' | 'port'
  readonly faults: readonly string[]

  constructor(code: SimulatorError['code'], faults: readonly string[], options?: ErrorOptions) {
    super(faults.join('; '), options)
    this.code = code
    this.faults = faults
  }
}
