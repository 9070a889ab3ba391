import { existsSync } from 'node:fs'
import { configFile } from '../../ingest/config.ts'
import { readingsFile } from '../../ingest/store/home.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { readServerConfig, type ServerConfig } from '../config.ts'
import { ServerError } from '../errors.ts'
import { ledgerFile } from '../home-files.ts'
import { Ledger } from '../ledger/ledger.ts'

/** The files of a home for one command-line task beside a running program. */
export const openLedgerOf = (home: string): Ledger => new Ledger(ledgerFile(home), kindOf(home))

export const openReadingsOf = (home: string, writes: boolean): SqliteStore =>
  new SqliteStore({ path: readingsFile(home), kind: kindOf(home), writes })

export const configOf = (home: string): ServerConfig => {
  if (!existsSync(configFile(home)))
    throw new ServerError('not-found', `${configFile(home)} does not exist`, {
      fix: 'set SPARGEWATCH_HOME to a configured home; the demonstration keeps its own in its demo folder',
    })
  return readServerConfig(home)
}

const kindOf = (home: string): 'real' | 'simulated' => (configOf(home).simulated ? 'simulated' : 'real')
