import type { Batch } from '../ledger/batch.ts'
import { SPOT_PLACES } from '../ledger/spot-entry.ts'

/** One reading of the fluid at one moment, typed in from a kit or taken with the wired meter. */
export interface SpotValue {
  readonly at: string
  readonly valueMgL: number
  /** Standard uncertainty of the reading, % of the value; undefined: not stated. */
  readonly uPercent: number | undefined
  readonly by: 'kit' | 'meter'
  readonly method: string
  /** Of the calibration, kept apart; undefined: none, or a kit answers for itself. */
  readonly calibration: { readonly at: string; readonly method: string; readonly uMgL: number } | undefined
}

/** May a spot reading be taken in this batch at all? */
export const isSpotPlace = ({ settings }: Pick<Batch, 'settings'>): boolean =>
  (SPOT_PLACES as readonly string[]).includes(settings.measuring_place)

/**
 * Are single readings all that counts, although a meter is wired? Always where the probe is dipped or an aliquot is
 * measured: between readings the meter does not see the fluid. In a companion flask the probe may stay, so that the meter
 * speaks for itself until somebody takes a spot reading.
 */
export const isSpotMode = (batch: Pick<Batch, 'settings' | 'spotReadings'>): boolean =>
  isSpotPlace(batch) &&
  (batch.settings.measuring_place !== 'companion-flask' || batch.spotReadings.length > 0)

/** Near zero a percentage says nothing: as in the fit of spot readings, it is that of 1 mg/L at least. */
const LEAST_MG_L = 1

/** All of them, in the order of their time. */
export const spotValues = ({
  handReadings,
  spotReadings,
}: Pick<Batch, 'handReadings' | 'spotReadings'>): SpotValue[] =>
  [
    ...handReadings.flatMap(({ at, data }): SpotValue[] =>
      data.quantity === 'dissolved-ozone'
        ? [
            {
              at,
              valueMgL: data.value,
              uPercent: data.u_percent,
              by: 'kit',
              method: data.method,
              calibration: undefined,
            },
          ]
        : [],
    ),
    ...spotReadings.map(({ at, data }): SpotValue => {
      const { calibration } = data
      return {
        at,
        valueMgL: data.value_mg_l,
        uPercent: (100 * data.u_mg_l) / Math.max(LEAST_MG_L, Math.abs(data.value_mg_l)),
        by: 'meter',
        method: data.instrument,
        calibration: calibration
          ? { at: calibration.at, method: calibration.method, uMgL: calibration.u_mg_l }
          : undefined,
      }
    }),
  ].sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
