/** Wrong tries in a row before the next one has to wait. Addresses are shared (a proxy, a display), so they get more. */
const FREE = { person: 4, address: 19 } as const
const FIRST_WAIT_S = 30
const LONGEST_WAIT_S = 900
/** After this long without a try, earlier ones no longer count. */
const FORGOTTEN_S = 4 * 3600
/** The bound of what is remembered; the oldest go first. */
const MOST_KEYS = 10_000

interface Tries {
  count: number
  atS: number
  freeAtS: number
}

export interface Key {
  readonly kind: keyof typeof FREE
  readonly of: string
}

/** How long the next try has to wait after so many wrong ones in a row, s: 30, 60, 120 ... up to 15 minutes. */
export const waitAfter = (count: number, kind: Key['kind']): number =>
  count <= FREE[kind] ? 0 : Math.min(LONGEST_WAIT_S, FIRST_WAIT_S * 2 ** Math.min(20, count - FREE[kind] - 1))

/**
 * Counts tries by person and by address. A try counts as wrong from its beginning, so that many at once gain nothing;
 * one that was right takes it back. On a steady clock: setting the clock frees nobody.
 */
export class Attempts {
  private readonly tries = new Map<string, Tries>()
  private readonly steadyS: () => number

  constructor(steadyS: () => number) {
    this.steadyS = steadyS
  }

  /** Seconds to wait before another try is looked at; 0: now. */
  waitS(keys: readonly Key[]): number {
    const now = this.steadyS()
    return Math.max(0, ...keys.map((key) => (this.known(key)?.freeAtS ?? 0) - now))
  }

  /** Counts a try. Returns the longest wait that follows if it turns out wrong, s. */
  begin(keys: readonly Key[]): number {
    const now = this.steadyS()
    const waits = keys.map((key) => {
      const count = (this.known(key)?.count ?? 0) + 1
      const wait = waitAfter(count, key.kind)
      this.put(key, { count, atS: now, freeAtS: now + wait })
      return wait
    })
    return Math.max(0, ...waits)
  }

  /** The try was right: the person's wrong ones are forgotten, the address only gets this one back. How many there were. */
  right(keys: readonly Key[]): number {
    let before = 0
    for (const key of keys) {
      const known = this.known(key)
      if (!known) continue
      if (key.kind === 'person') {
        before = known.count - 1
        this.tries.delete(nameOf(key))
      } else this.put(key, { ...known, count: Math.max(0, known.count - 1), freeAtS: 0 })
    }
    return Math.max(0, before)
  }

  countOf(key: Key): number {
    return this.known(key)?.count ?? 0
  }

  private known(key: Key): Tries | undefined {
    const found = this.tries.get(nameOf(key))
    return found && this.steadyS() - found.atS < FORGOTTEN_S ? found : undefined
  }

  private put(key: Key, tries: Tries): void {
    this.tries.delete(nameOf(key))
    this.tries.set(nameOf(key), tries)
    if (this.tries.size > MOST_KEYS) this.tries.delete(this.tries.keys().next().value ?? '')
  }
}

const nameOf = ({ kind, of }: Key): string => `${kind}:${of}`
