import type { BenchSettings } from './settings.ts'

/** Molar mass of ozone, g/mol (3 × 15.999, IUPAC 2021 abridged atomic weights). */
const OZONE_G_PER_MOL = 47.997

/**
 * Well-mixed room: dR/dt = leak/V_room − n·R, mg/m³ per min. Ozone's own decay on walls is left out, so the simulated
 * room is never cleaner than a real one.
 */
export const roomChange = (
  roomMgPerM3: number,
  escapingMgPerMin: number,
  { roomOzone }: BenchSettings,
): number =>
  roomOzone === undefined
    ? 0
    : (escapingMgPerMin * roomOzone.leakShare) / roomOzone.roomM3 -
      (roomOzone.airChangesPerH / 60) * roomMgPerM3

/** Volume share of ozone in air: ppm = mg/m³ · R T/(M P), T in K, P in kPa (ideal gas). */
export const roomPpm = (mgPerM3: number, room: BenchSettings['room']): number =>
  (mgPerM3 * 8.314463 * (room.temperatureC + 273.15)) / (OZONE_G_PER_MOL * room.pressureKpa)
