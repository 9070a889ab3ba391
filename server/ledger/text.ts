import { z } from 'zod'

/** Half a character has no UTF-8 form: stored and read back it would be another text, with another hash. */
const NOT_TEXT = /\p{Surrogate}|(?![\t\n\r])\p{Control}/u

/** What a person typed: not empty, not endless, and the same when it is read back. */
export const text = (max: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(max)
    .refine((typed) => !NOT_TEXT.test(typed), 'needs text without control characters')
