import { existsSync } from 'node:fs'
import { isDeepStrictEqual } from 'node:util'
import { parse } from 'yaml'
import { readingsFile } from '../../ingest/store/home.ts'
import { wiringFaults, wiringFile } from '../../ingest/tap/wiring.ts'
import { ServerError } from '../errors.ts'
import { ledgerFile } from '../home-files.ts'
import { patchYaml } from './patch-yaml.ts'
import { previousOf, readWiringText, refuseWhenChanged, replaceWiringText } from './wiring-text.ts'
import { blockText } from './yaml-text.ts'

type Tree = Readonly<Record<string, unknown>>

/** Where a meter that is set up on screen is written to. */
export interface SetUpPlace {
  /** Home whose wiring is changed: in the demonstration the one beside it, never its own. */
  readonly home: string
  readonly demo: boolean
}

export interface WantedInstrument {
  readonly port: { readonly name: string; readonly settings: Tree }
  readonly instrument: Tree & { readonly id: string }
  /** The instrument with this id is changed; false: it is new. */
  readonly replaces: boolean
  /** Only where there is no wiring yet. */
  readonly site?: Tree | undefined
  readonly bench?: Tree | undefined
}

interface File {
  readonly benches?: readonly Tree[]
  readonly ports?: Readonly<Record<string, Tree>>
  readonly instruments?: readonly Tree[]
}

export interface WiringNow {
  readonly path: string
  readonly version: string | null
  readonly file: File
  readonly faults: readonly string[]
}

export const wiringNow = ({ home }: SetUpPlace): WiringNow => {
  const path = wiringFile(home)
  const found = readWiringText(path)
  if (found === null) return { path, version: null, file: {}, faults: [] }
  const faults = wiringFaults(found.text, home)
  return {
    path,
    version: found.version,
    file: faults.length === 0 ? (parse(found.text) as File) : {},
    faults,
  }
}

export interface Saved {
  readonly path: string
  readonly version: string
  readonly previous: string | null
}

/** Writes an instrument with its port into the wiring: validated as a whole first, all faults told together. */
export const saveInstrument = (
  place: SetUpPlace,
  wanted: WantedInstrument,
  expected: string | null,
): Saved => {
  const path = wiringFile(place.home)
  const found = readWiringText(path)
  refuseWhenChanged(path, found, expected)
  const text = textWith(place, found?.text, wanted)
  refuseFaults(wiringFaults(text, place.home), 'the wiring would have')
  const { version } = replaceWiringText(path, text, expected)
  return { path, version, previous: found === null ? null : previousOf(path) }
}

/** What stands against saving, said before anybody presses the button. */
export const saveFaults = (place: SetUpPlace, wanted: WantedInstrument): readonly string[] => {
  const found = readWiringText(wiringFile(place.home))
  try {
    const text = textWith(place, found?.text, wanted)
    return wiringFaults(text, place.home)
  } catch (error) {
    if (error instanceof ServerError) return [error.message]
    throw error
  }
}

const textWith = (place: SetUpPlace, text: string | undefined, wanted: WantedInstrument): string =>
  text === undefined ? newText(place, wanted) : changedText(place, text, wanted)

const changedText = (
  { home }: SetUpPlace,
  text: string,
  { port, instrument, replaces }: WantedInstrument,
): string => {
  refuseFaults(wiringFaults(text, home), 'mend the file first: it has')
  const file = parse(text) as File & Tree
  const [ports, instruments] = [file.ports ?? {}, file.instruments ?? []]
  const before = instruments.find((i) => i['id'] === instrument.id)
  if (replaces && before === undefined)
    throw new ServerError(
      'bad-request',
      `instrument.id needs one of the instruments in the file, got ${instrument.id}`,
    )
  if (!replaces && before !== undefined)
    throw new ServerError(
      'bad-request',
      `instrument.id needs a name no other instrument has, got ${instrument.id}`,
    )
  const there = ports[port.name]
  if (there && before?.['port'] !== port.name && !isDeepStrictEqual(plain(there), plain(port.settings)))
    throw new ServerError(
      'bad-request',
      `port.name needs a name no other port has, or the settings that port ${port.name} has already`,
    )
  const entry = {
    ...instrument,
    port: port.name,
    ...(before ? { channels: inOrder(before, instrument) } : {}),
  }
  return patchYaml(text, {
    ...file,
    ports: { ...ports, [port.name]: port.settings },
    instruments: before ? instruments.map((i) => (i === before ? entry : i)) : [...instruments, entry],
  })
}

const plain = (tree: Tree): unknown => JSON.parse(JSON.stringify(tree))

/** Channels that were there keep their place, so that their lines in the file do too. */
const inOrder = (before: Tree, after: Tree): readonly unknown[] => {
  const names = (holder: Tree) => (Array.isArray(holder['channels']) ? (holder['channels'] as Tree[]) : [])
  const old = names(before).map((c) => c['channel'])
  const rank = (c: Tree) => (old.includes(c['channel']) ? old.indexOf(c['channel']) : old.length)
  return [...names(after)].sort((a, b) => rank(a) - rank(b))
}

const HEAD = `# Wiring of Spargewatch: which instrument on which port measures what at which bench.
# Written when the first meter was set up on screen. Edit it as you like: comments stay.
`

const newText = ({ home }: SetUpPlace, { port, instrument, site, bench }: WantedInstrument): string => {
  const real = [readingsFile(home), ledgerFile(home)].find((file) => existsSync(file))
  if (real)
    throw new ServerError('not-possible-now', `${real} holds real data but its wiring is missing`, {
      fix: 'restore the wiring from a back-up instead of writing a new one',
    })
  const file = {
    site: site ?? {},
    benches: [bench ?? {}],
    ports: { [port.name]: port.settings },
    instruments: [{ ...instrument, port: port.name }],
  }
  return `${HEAD}${blockText(file)}\n`
}

const refuseFaults = (faults: readonly string[], what: string): void => {
  if (faults.length === 0) return
  throw new ServerError(
    'bad-request',
    `${what} ${faults.length} ${faults.length === 1 ? 'fault' : 'faults'}: ${faults.join('; ')}`,
    { fix: 'nothing was saved' },
  )
}
