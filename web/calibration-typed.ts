import type { Calibrate } from '../server/wire.ts'
import { numberTyped, textTyped, withoutNull } from './typed.ts'

export type CalibrationData = Calibrate['data']

export type CalibrationText = Readonly<
  Record<'channel' | 'slope' | 'zero' | 'u_slope' | 'u_zero' | 'tau' | 'u_tau' | 'method' | 'fluid', string>
>

export const EMPTY_CALIBRATION: CalibrationText = {
  channel: '',
  slope: '',
  zero: '',
  u_slope: '',
  u_zero: '',
  tau: '',
  u_tau: '',
  method: '',
  fluid: '',
}

export type CalibrationTyped =
  | { readonly kind: 'data'; readonly data: CalibrationData }
  | { readonly kind: 'refused'; readonly why: string }

/** What goes into the ledger, or the first thing that is still needed. An uncertainty is never assumed. */
export const calibrationTyped = (instrument: string, text: CalibrationText): CalibrationTyped => {
  const slope = numberTyped(text.slope)
  const zero = numberTyped(text.zero)
  const u_slope_percent = numberTyped(text.u_slope)
  const u_zero = numberTyped(text.u_zero)
  const method = textTyped(text.method)
  if (text.channel === '') return refused('Choose the channel.')
  if (slope === null || slope <= 0) return refused('Type the slope, a number above 0.')
  if (zero === null) return refused('Type the zero; 0 when none was found.')
  if (u_slope_percent === null || u_slope_percent < 0 || u_zero === null || u_zero < 0)
    return refused('Type both standard uncertainties.')
  if (method === null) return refused('Type the reference method.')
  const rest = withoutNull({
    tau_s: numberTyped(text.tau),
    u_tau_s: numberTyped(text.u_tau),
    fluid: textTyped(text.fluid) as CalibrationData['fluid'] | null,
  })
  return {
    kind: 'data',
    data: {
      instrument,
      channel: text.channel,
      slope,
      zero,
      u_slope_percent,
      u_zero,
      method,
      ...rest,
    } as CalibrationData,
  }
}

const refused = (why: string): CalibrationTyped => ({ kind: 'refused', why })
