/** One thing wrong in the wiring: where it stands and what it needs. */
export interface ReferenceFault {
  readonly path: readonly (string | number)[]
  readonly message: string
}

export const fault = (path: ReferenceFault['path'], message: string): ReferenceFault => ({ path, message })

/** Places of names that stand there twice. */
export const repeated = (names: readonly (string | undefined)[]): number[] =>
  names.flatMap((name, i) => (name !== undefined && name !== '' && names.indexOf(name) !== i ? [i] : []))

/** One fault for each key that is there and should not be. */
export const notHere = (
  given: Readonly<Record<string, unknown>>,
  keys: readonly string[],
  message: string,
): ReferenceFault[] => keys.filter((key) => given[key] !== undefined).map((key) => fault([key], message))

export const under = (path: ReferenceFault['path'], faults: readonly ReferenceFault[]): ReferenceFault[] =>
  faults.map((each) => fault([...path, ...each.path], each.message))
