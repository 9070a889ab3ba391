import type { SetAside } from './schema.ts'

/** Why no fit may use a reading. */
export type AsideReason = SetAside['why']

const REASONS: readonly AsideReason[] = [
  'spike',
  'clipped',
  'jump',
  'repeated',
  'settling',
  'impossible',
  'probe-out',
]

/** One byte per reading: 0 for a usable one, else its reason's place in the list plus one. A year of seconds fits. */
export type AsideCodes = Uint8Array

export const codeOf = (reason: AsideReason): number => REASONS.indexOf(reason) + 1
export const reasonOf = (code: number): AsideReason | undefined => REASONS[code - 1]

export const USABLE = 0
export const CLIPPED = codeOf('clipped')
export const SETTLING = codeOf('settling')
