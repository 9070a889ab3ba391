import {
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { ServerError } from '../../../server/errors.ts'
import {
  saveFaults,
  saveInstrument,
  type WantedInstrument,
  wiringNow,
} from '../../../server/set-up/set-up.ts'
import { makeHome, tcpPort, wiring } from '../../support/home.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const WANTED: WantedInstrument = {
  port: { name: 'meter-b', settings: { kind: 'tcp', host: '127.0.0.1', port: 4002 } },
  instrument: {
    id: 'meter-b',
    bench: 'A',
    channels: [{ channel: 'ph', field: 0, unit: 'pH' }],
  },
  replaces: false,
}
const YAML = `# ours\n${wiring({ port: tcpPort(4001) })}`
const at = (home: string) => ({ home, demo: false })
const file = (home: string) => join(home, 'spargewatch.yaml')
const errorOf = (work: () => unknown): ServerError => {
  try {
    work()
  } catch (error) {
    if (error instanceof ServerError) return error
    throw error
  }
  throw new Error('it was not refused')
}

describe('an instrument set up on screen', () => {
  it('is written beside the others, and the last version is kept', () => {
    const home = makeHome(YAML)
    const saved = saveInstrument(at(home), WANTED, wiringNow(at(home)).version)
    const text = readFileSync(file(home), 'utf8')
    expect(text.startsWith('# ours\n')).toBe(true)
    expect(parse(text)).toMatchObject({
      instruments: [{ id: 'meter-a' }, { id: 'meter-b', port: 'meter-b' }],
    })
    expect(readFileSync(saved.previous ?? '', 'utf8')).toBe(YAML)
    if (process.platform !== 'win32') expect(statSync(file(home)).mode & 0o777).toBe(0o600)
    expect(wiringNow(at(home)).version).toBe(saved.version)
  })

  it('is refused when the file changed meanwhile, and nothing is lost', () => {
    const home = makeHome(YAML)
    const { version } = wiringNow(at(home))
    writeFileSync(file(home), `${YAML}# added by hand\n`)
    expect(errorOf(() => saveInstrument(at(home), WANTED, version))).toMatchObject({ code: 'conflict' })
    expect(errorOf(() => saveInstrument(at(home), WANTED, null))).toMatchObject({ code: 'conflict' })
    expect(readFileSync(file(home), 'utf8')).toBe(`${YAML}# added by hand\n`)
    expect(existsSync(`${file(home)}.previous`)).toBe(false)
    expect(existsSync(`${file(home)}.new`)).toBe(false)
  })

  it('is refused with all its faults together, and the file stays as it is', () => {
    const home = makeHome(YAML)
    const wrong: WantedInstrument = {
      ...WANTED,
      port: { name: 'meter-b', settings: { kind: 'tcp', host: '', port: 99_999 } },
      instrument: { id: 'meter-b', bench: 'Z', channels: [{ channel: 'ph', field: 0, unit: 'mg/L' }] },
    }
    const faults = saveFaults(at(home), wrong)
    for (const [key, need] of [
      ['ports.meter-b.host', ''],
      ['ports.meter-b.port', '65535'],
      ['instruments[1].bench', 'needs one of the benches: A, got "Z"'],
      ['instruments[1].channels[0].unit', 'needs one of pH'],
    ] as const)
      expect(
        faults.find((f) => f.startsWith(key)),
        key,
      ).toContain(need)
    const error = errorOf(() => saveInstrument(at(home), wrong, wiringNow(at(home)).version))
    expect(error.code).toBe('bad-request')
    for (const fault of faults) expect(error.message).toContain(fault)
    expect(readFileSync(file(home), 'utf8')).toBe(YAML)
  })

  it('needs a name of its own, or says whom it replaces', () => {
    const home = makeHome(YAML)
    const { version } = wiringNow(at(home))
    const again = { ...WANTED, instrument: { ...WANTED.instrument, id: 'meter-a' } }
    expect(errorOf(() => saveInstrument(at(home), again, version)).message).toContain(
      'no other instrument has',
    )
    expect(errorOf(() => saveInstrument(at(home), { ...WANTED, replaces: true }, version)).message).toContain(
      'needs one of the instruments',
    )
  })

  it('never changes another instrument’s port by taking its name', () => {
    const home = makeHome(YAML)
    const { version } = wiringNow(at(home))
    const taken = { ...WANTED, port: { ...WANTED.port, name: 'meter-a' } }
    expect(errorOf(() => saveInstrument(at(home), taken, version)).message).toContain('no other port has')
    const shared = { name: 'meter-a', settings: wiringNow(at(home)).file.ports?.['meter-a'] ?? {} }
    saveInstrument(at(home), { ...WANTED, port: shared }, version)
    expect(readFileSync(file(home), 'utf8').split('\n')).toEqual(expect.arrayContaining(YAML.split('\n')))
  })

  it('cannot be saved into a file that somebody left with faults', () => {
    const home = makeHome(YAML.replace('unit: ug/mL', 'unit: pint'))
    const { faults, version } = wiringNow(at(home))
    expect(faults[0]).toContain('pint')
    expect(errorOf(() => saveInstrument(at(home), WANTED, version)).message).toMatch(
      /mend the file first.*pint/,
    )
  })

  it('goes through a link to the file it points at', () => {
    const home = makeHome(YAML)
    const elsewhere = join(temporaryFolder(), 'clinic.yaml')
    renameSync(file(home), elsewhere)
    symlinkSync(elsewhere, file(home))
    saveInstrument(at(home), WANTED, wiringNow(at(home)).version)
    expect(readFileSync(elsewhere, 'utf8')).toContain('meter-b')
  })

  it('as the first of a clinic makes the file, and refuses where real data lost theirs', () => {
    const home = join(temporaryFolder(), 'new')
    mkdirSync(home)
    const first = {
      ...WANTED,
      site: { name: 'Our clinic', zone: 'Europe/Lisbon' },
      bench: { id: 'A', name: 'Bench A' },
    }
    expect(saveFaults(at(home), WANTED).join()).toMatch(/site.name.*site.zone/s)
    const saved = saveInstrument(at(home), first, null)
    expect(saved.previous).toBeNull()
    expect(parse(readFileSync(file(home), 'utf8'))).toMatchObject({ site: { name: 'Our clinic' } })
    expect(wiringNow(at(home)).faults).toEqual([])

    const lost = join(temporaryFolder(), 'lost')
    mkdirSync(lost)
    writeFileSync(join(lost, 'readings.db'), '')
    expect(errorOf(() => saveInstrument(at(lost), first, null)).message).toContain('holds real data')
    expect(existsSync(file(lost))).toBe(false)
  })
})
