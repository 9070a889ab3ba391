import type { Applied, Correcting } from './correction.ts'
import type { CalibrationInForce, ProbeLag } from './in-force.ts'

export interface Used {
  readonly by: CalibrationInForce
  readonly readings: number
  /** Of the readings it was applied to: the least and greatest factor for the fluid. */
  readonly factor: readonly [low: number, high: number]
}

/** Which calibrations the readings of a batch were corrected by. */
export class CalibrationTally {
  private readonly used = new Map<CalibrationInForce, Used>()
  private newest: Correcting = { kind: 'none', lag: undefined }
  private largest = { uRelative: 0, uZero: 0 }
  /** Of the newest that state it; u is the largest. */
  private lag: ProbeLag | undefined
  uncalibrated = 0
  notForThisFluid = 0
  notForThisTemperature = 0

  count(how: Correcting): void {
    this.newest = how
    this.countLag(how.lag)
    switch (how.kind) {
      case 'none':
        this.uncalibrated += 1
        return
      case 'not-for-this-fluid':
        this.notForThisFluid += 1
        return
      case 'not-for-this-temperature':
        this.notForThisTemperature += 1
        return
      case 'calibrated':
        this.countApplied(how)
        return
      default:
        how satisfies never
    }
  }

  private countApplied(how: Applied): void {
    const before = this.used.get(how.by)
    this.used.set(how.by, {
      by: how.by,
      readings: (before?.readings ?? 0) + 1,
      factor: [
        Math.min(before?.factor[0] ?? how.factor, how.factor),
        Math.max(before?.factor[1] ?? how.factor, how.factor),
      ],
    })
    this.largest = {
      uRelative: Math.max(this.largest.uRelative, how.uRelative),
      uZero: Math.max(this.largest.uZero, how.uZero),
    }
  }

  private countLag(lag: ProbeLag | undefined): void {
    if (lag === undefined) {
      this.lag = undefined
      return
    }
    if (this.lag?.tauS === lag.tauS && this.lag.uS >= lag.uS) return
    this.lag = { tauS: lag.tauS, uS: Math.max(lag.uS, this.lag?.uS ?? 0) }
  }

  /** In order of time. */
  all(): readonly Used[] {
    return [...this.used.values()]
  }

  last(): Correcting {
    return this.newest
  }

  probeLag(): ProbeLag | undefined {
    return this.lag
  }

  /** The larger uncertainty when there were two; undefined unless every reading is calibrated. */
  uncertainty(): { readonly uRelative: number; readonly uZero: number } | undefined {
    const without = this.uncalibrated + this.notForThisFluid + this.notForThisTemperature
    const isWhole = this.used.size > 0 && without === 0
    return isWhole ? this.largest : undefined
  }
}
