import { join } from 'node:path'

/** The demonstration keeps its files here, apart from everything real. */
export const demoHome = (home: string): string => join(home, 'demo')
