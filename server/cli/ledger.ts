import { existsSync } from 'node:fs'
import type { Command } from 'commander'
import { readSurroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { ledgerFile } from '../home-files.ts'
import { type Anchor, type ChainResult, verifyChain } from '../ledger/hash-chain.ts'
import { entriesOfMirror } from './mirror.ts'
import { openLedgerOf } from './open-home.ts'

export const registerLedger = (program: Command): void => {
  const ledger = program.command('ledger').description('the append-only record')
  ledger
    .command('verify')
    .description('check every entry, and with --anchor that it is the ledger a printed record was made from')
    .option(
      '--anchor <entries:hash>',
      'entry count and head hash from a printed record, a back-up or an export',
    )
    .option('--mirror', 'check the mirror of the record in InfluxDB instead of the file here')
    .action(async ({ anchor, mirror }: { anchor?: string; mirror?: boolean }) => {
      const { home } = readSurroundings()
      const expected = anchor === undefined ? undefined : parseAnchor(anchor)
      if (mirror) return tell(verifyChain(await entriesOfMirror(home), expected), 'mirror')
      if (!existsSync(ledgerFile(home)))
        throw new ServerError('not-found', `${ledgerFile(home)} does not exist`, {
          fix: 'set SPARGEWATCH_HOME to the folder that holds the ledger',
        })
      const opened = openLedgerOf(home)
      const result = verifyChain(opened.all(), expected)
      opened.close()
      tell(result, 'ledger')
    })
}

const tell = (result: ChainResult, what: 'ledger' | 'mirror'): void => {
  if (!result.ok) throw new ServerError('ledger-broken', `the ${what} does not verify: ${result.why}`)
  console.log(
    `The ${what} verifies: ${result.entries} entries, head ${result.head}; anchor: ${result.anchor}.`,
  )
}

const parseAnchor = (text: string): Anchor => {
  const found = /^(\d+):([0-9a-f]{64})$/.exec(text.trim())
  if (!found?.[1] || !found[2])
    throw new ServerError(
      'bad-request',
      `--anchor needs "entries:hash" with 64 hexadecimal digits, got ${text.slice(0, 80)}`,
    )
  return { entries: Number(found[1]), head: found[2] }
}
