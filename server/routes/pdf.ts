import type { Response } from 'express'
import { z } from 'zod'

export const paperQuery = z.object({ paper: z.enum(['a4', 'letter']).default('a4') })

export const sendPdf = (response: Response, bytes: Buffer, name: string): void => {
  response.set('cache-control', 'no-store').type('application/pdf')
  response.set('content-disposition', `inline; filename="${name.replaceAll(/[^\w.-]/g, '_')}"`)
  response.end(bytes)
}
