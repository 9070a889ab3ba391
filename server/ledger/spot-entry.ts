import { z } from 'zod'
import { text } from './text.ts'

/** What a person asks to have read: the stretch from the dip to the moment it had settled. The server works out the rest. */
export const spotTaken = z.strictObject({
  from: z.iso.datetime().meta({ description: 'the probe was in by then' }),
  to: z.iso.datetime().meta({ description: 'end of the window the value is read from' }),
})

const mgPerL = z.number()

/** One settled value of the wired meter, as the server worked it out from stored readings. Uncertainties are standard ones (1 s). */
export const spotReading = spotTaken.extend({
  instrument: text(60),
  value_mg_l: mgPerL.meta({ description: 'calibrated where `calibration` is given' }),
  as_sent_mg_l: mgPerL.meta({ description: 'the same without the calibration' }),
  u_mg_l: mgPerL.meta({ description: 'all parts but the calibration together' }),
  u_scatter_mg_l: mgPerL.meta({ description: 'scatter of the window, its autocorrelation counted' }),
  u_resolution_mg_l: mgPerL.meta({ description: 'last digit of the meter' }),
  u_settling_mg_l: mgPerL.meta({ description: 'what may be left of the way since the dip' }),
  u_response_mg_l: mgPerL.meta({ description: 'response of the probe while the value moves' }),
  calibration: z
    .strictObject({ at: z.iso.datetime(), method: text(120), u_mg_l: mgPerL })
    .nullable()
    .meta({ description: 'kept apart: it errs the same way every time; null: uncalibrated' }),
  readings: z.number().int().positive(),
  effective_readings: z.number(),
  window_s: z.number().positive(),
  waited_s: z.number().nonnegative(),
  tau_s: z.number().nullable().meta({ description: 'response time reckoned with; null: not known' }),
})

/** Where a value is one reading at a time: the probe is not in what is used, or not all the time. */
export const SPOT_PLACES = ['dipped', 'aliquot', 'companion-flask'] as const
