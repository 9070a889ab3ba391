import { readFileSync } from 'node:fs'

export interface CertifiedSet {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly estimates: number[]
  readonly standardErrors: number[]
  readonly residualSd: number
}

/** Reads a NIST StRD set from the fixtures: certified values stand in its header. */
export const certified = (name: string): CertifiedSet => {
  const text = readFileSync(new URL(`../../../fixtures/certified/nist_${name}.csv`, import.meta.url), 'utf8')
  const lines = text.split('\n').filter((l) => l.trim() !== '')
  const header = lines.filter((l) => l.startsWith('#')).join(' ')
  const parameters = [...header.matchAll(/b\d=(\S+) \(se (\S+)\)/g)]
  const rows = lines.filter((l) => /^[-\d.]/.test(l)).map((l) => l.split(',').map(Number))
  return {
    x: Float64Array.from(rows, (r) => r[0] ?? Number.NaN),
    y: Float64Array.from(rows, (r) => r[1] ?? Number.NaN),
    estimates: parameters.map((m) => Number(m[1])),
    standardErrors: parameters.map((m) => Number(m[2])),
    residualSd: Number(/residual_sd=([\d.e+-]+)/.exec(header)?.[1]),
  }
}

/** Agreeing significant digits, −log10 of the relative error, as NIST counts them (at most 11 certified). */
export const digits = (value: number, reference: number): number =>
  value === reference ? 11 : Math.min(11, -Math.log10(Math.abs(value - reference) / Math.abs(reference)))

export const fewestDigits = (values: ArrayLike<number>, references: readonly number[]): number =>
  Math.min(...references.map((reference, i) => digits(values[i] ?? Number.NaN, reference)))
