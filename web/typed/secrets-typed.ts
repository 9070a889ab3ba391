const LEAST_PASSWORD = 10

export const LONG_ENOUGH = `At least ${LEAST_PASSWORD} characters. A few words that belong to nobody else do well.`

interface Typed {
  readonly password: string
  readonly again: string
  /** Empty: none. */
  readonly pin: string
}

/** What is still missing before it can be sent; null when nothing is. The server looks closer. */
export const secretsTyped = ({ password, again, pin }: Typed): string | null => {
  if ([...password].length < LEAST_PASSWORD)
    return `The password needs at least ${LEAST_PASSWORD} characters.`
  if (again !== password) return 'The two passwords differ.'
  return pin === '' || pin.length === 6 ? null : 'The PIN needs six digits.'
}
