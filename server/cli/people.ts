import { existsSync } from 'node:fs'
import type { Command } from 'commander'
import { v7 as uuidv7 } from 'uuid'
import { readSurroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { LINK_MS } from '../people/link.ts'
import { invite } from '../people/managing.ts'
import { People, PROGRAM } from '../people/people.ts'
import { openPeopleFile, peopleFile } from '../people/people-file.ts'
import { configOf, openLedgerOf } from './open-home.ts'

export const registerPeople = (program: Command): void => {
  const people = program.command('people').description('who can sign in')
  people
    .command('reset')
    .description(
      'print a one-time link that sets a new password; on the machine itself, program running or not',
    )
    .argument('<name>', 'whose')
    .action((name: string) => reset(name))
}

const reset = (name: string): void => {
  const { home, host, port } = readSurroundings()
  const config = configOf(home)
  if (!existsSync(peopleFile(home)))
    throw new ServerError('not-found', `nobody was ever set up in ${home}`, {
      fix: 'start the program: it prints a link for the first administrator',
    })
  const ledger = openLedgerOf(home)
  const people = new People({
    db: openPeopleFile(home, config.simulated ? 'simulated' : 'real'),
    ledger,
    nowMs: Date.now,
    steadyMs: () => performance.now(),
    newId: () => uuidv7(),
  })
  try {
    const person = people.persons.byName(name)
    if (!person)
      throw new ServerError('not-found', `there is nobody called ${name}`, {
        fix: `those there are: ${people.persons
          .all()
          .map((p) => p.name)
          .join(', ')}`,
      })
    const { token } = invite(people, PROGRAM, person.id, LINK_MS)
    const scheme = config.web.tls ? 'https' : 'http'
    const at = host.includes(':') ? `[${host}]` : host
    console.log(
      `Open this once within an hour, with the program running, to set a new password for ${person.name} (its address is yours to correct where it is reached under another one):\n${scheme}://${at}:${port}/welcome#${token}`,
    )
  } finally {
    people.close()
    ledger.close()
  }
}
