import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { packageFolder } from './config.ts'

export const ledgerFile = (home: string): string => join(home, 'ledger.db')

export const programVersion = (): string =>
  (JSON.parse(readFileSync(join(packageFolder(), 'package.json'), 'utf8')) as { version: string }).version
