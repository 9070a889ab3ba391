/**
 * Units. A number that leaves a function carries its unit in its type; conversion has one home, here.
 * In JSON, SQL and configuration the unit is part of the name (`plateau_mg_l`).
 */

declare const unitOf: unique symbol

/** A number in unit `U`. Arithmetic gives a plain number; name the result again with `as`-free makers below. */
export type In<U extends string> = number & { readonly [unitOf]: U }

export type MgPerL = In<'mg/L'>
export type Celsius = In<'°C'>
export type Kelvin = In<'K'>
export type Ohms = In<'Ω'>
export type Kilopascal = In<'kPa'>
export type PerMinute = In<'1/min'>
export type Minutes = In<'min'>
export type Seconds = In<'s'>
export type Millilitres = In<'mL'>
export type MlPerMin = In<'mL/min'>
/** Gas ozone per normal millilitre (0 °C, 101.325 kPa, dry): µg/NmL = g/Nm³. */
export type UgPerNml = In<'µg/NmL'>
/** Microseconds since 1970-01-01T00:00:00Z. Whole; exact in a double until the year 2255. */
export type TimeUs = In<'µs UTC'>

const named =
  <U extends string>() =>
  (value: number): In<U> =>
    value as In<U>

export const mgPerL = named<'mg/L'>()
export const celsius = named<'°C'>()
export const kelvin = named<'K'>()
export const ohms = named<'Ω'>()
export const kilopascal = named<'kPa'>()
export const perMinute = named<'1/min'>()
export const minutes = named<'min'>()
export const seconds = named<'s'>()
export const millilitres = named<'mL'>()
export const mlPerMin = named<'mL/min'>()
export const ugPerNml = named<'µg/NmL'>()
export const timeUs = named<'µs UTC'>()

/** 0 °C in kelvin: exact by definition of the Celsius scale (SI Brochure, 9th ed., 2.3.1). */
export const ZERO_CELSIUS_K = 273.15

export const toKelvin = (t: Celsius): Kelvin => kelvin(t + ZERO_CELSIUS_K)
export const isoOf = (t: TimeUs): string => new Date(t / 1000).toISOString()
