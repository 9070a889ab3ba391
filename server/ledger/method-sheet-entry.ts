import { z } from 'zod'
import { text } from './text.ts'

/** What entries say of method sheets, and what a batch keeps of the one it was opened by. */

/** A version of a method sheet, as a batch names it. */
export const sheetVersion = z.strictObject({
  sheet: z.uuid().toLowerCase(),
  version: z.number().int().min(1).max(10_000),
})

/** What the sheet makes of a batch beyond its settings; written by the server, never by the client. */
export const SHEET_PHASES = ['set-up', 'bubbling', 'purge', 'standing'] as const

export const sheetStep = z.strictObject({
  step: text(40),
  during: z.enum(SHEET_PHASES),
  text: text(200),
})

/** How often the same fill may be bubbled again, and for how long ozone may be on in all, the first time included. */
export const bubbleAgain = z.strictObject({
  most_times: z.number().int().min(1).max(5),
  most_ozone_min: z.number().positive().max(240),
})

/** What a sheet rules beyond the settings of a batch. */
export const sheetRules = {
  name: text(60),
  bubble_again: bubbleAgain
    .optional()
    .meta({ description: 'left out: the same fill is never bubbled again' }),
  mark_ml: z
    .number()
    .positive()
    .max(50)
    .optional()
    .meta({ description: 'distance between two marks of the syringe for drawing up' }),
  steps: z.array(sheetStep).min(1).max(40),
}

export const fromSheet = z.strictObject(sheetRules)

export type SheetStep = z.infer<typeof sheetStep>
export type FromSheet = z.infer<typeof fromSheet>
