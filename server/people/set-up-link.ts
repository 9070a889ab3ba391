import { LINK_MS } from './link.ts'
import type { People } from './people.ts'

/**
 * What the program prints when it starts and nobody can sign in: a link for the first administrator. The token stands behind
 * `#`, which no browser sends, so it is in no log of a proxy.
 */
export const setUpLink = (people: People, address: string): string | undefined => {
  if (people.isSetUp()) return undefined
  const { token } = people.links.make(null, LINK_MS)
  return [
    '  Nobody can sign in yet: whoever is at this machine may enter everything, under any name.',
    '  To set up people, open this once within an hour (a restart makes a new one):',
    `  ${address}/welcome#${token}`,
  ].join('\n')
}
