/** Of the air of a room, ppm; undefined values are not measured, which is never zero. */
export interface RoomOzoneSeen {
  /** Mean of the last 60 s. */
  readonly minutePpm: number | null
  /** Σ C·t/8 h over the last eight hours. */
  readonly eightHoursPpm: number | null
}
