import { type Celsius, type Kilopascal, kilopascal } from '../../ingest/units.ts'

/**
 * Saturation vapour pressure over water · p = 0.61094·exp(17.625 t/(t + 243.04)) kPa · −40 to 50 °C, 0.4 %.
 * Magnus form of Alduchov & Eskridge, J. Appl. Meteorol. 35, 601 (1996); coefficients from memory.
 */
export const waterVapourPressure = (t: Celsius): Kilopascal =>
  kilopascal(0.61094 * Math.exp((17.625 * t) / (t + 243.04)))

/**
 * Density of air-free water at 1 atm, kg/m³, 0 to 100 °C. Kell, J. Chem. Eng. Data 20, 97 (1975); coefficients
 * from memory, checked at 4, 20 and 25 °C.
 */
export const waterDensity = (t: Celsius): number =>
  (999.83952 +
    t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))))) /
  (1 + 16.87985e-3 * t)

/** Amount of water per volume, mol/m³: density over the molar mass 18.015 g/mol. */
export const waterMolarity = (t: Celsius): number => waterDensity(t) / 18.015e-3
