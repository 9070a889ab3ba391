import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readIngestConfig } from '../../ingest/config.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

const GOOD = `
site: { name: Test clinic, zone: UTC }
benches: [{ id: A }]
ports:
  meter: { kind: serial, device: /dev/ttyUSB0, baud: 9600, frame: { checksum: xor } }
instruments:
  - id: meter-a
    port: meter
    bench: A
    channels: [{ channel: dissolved-ozone, field: 2, unit: ug/mL, full_scale: 50 }]
`

const read = (text: string) => {
  const home = temporaryFolder()
  writeFileSync(join(home, 'spargewatch.yaml'), text)
  return readIngestConfig(home)
}

const faultsOf = (text: string): string => {
  try {
    read(text)
  } catch (error) {
    return error instanceof Error ? error.message : String(error)
  }
  return 'no fault'
}

describe('the wiring', () => {
  it('is read with its defaults', () => {
    expect(read(GOOD)).toMatchObject({
      commitIntervalMs: 50,
      ports: [
        { name: 'meter', format: { delimiter: '\n', maxBytes: 256, checksum: 'xor' }, silenceMs: 10_000 },
      ],
    })
  })

  it('with several faults names them all at once, each with key, line, what it needs and what it got', () => {
    const said = faultsOf(
      GOOD.replace('9600', 'fast').replace('port: meter', 'port: metre').replace('unit: ug/mL', 'unit: mV'),
    )
    expect(said).toContain('has 3 faults')
    expect(said).toContain('needs one of the ports: meter, got "metre"')
    expect(said).toContain('for dissolved-ozone, got "mV"')
    expect(said).toContain('ports.meter.baud (line 5) needs number, got "fast"')
  })

  it('with names that point at nothing or units that do not fit is refused with the choices', () => {
    const said = faultsOf(GOOD.replace('port: meter', 'port: metre').replace('unit: ug/mL', 'unit: mV'))
    expect(said).toContain('has 2 faults')
    expect(said).toContain('instruments[0].port (line 8) needs one of the ports: meter, got "metre"')
    expect(said).toMatch(
      /instruments\[0\].channels\[0\].unit \(line 10\) needs one of mg\/L, .* for dissolved-ozone, got "mV"/,
    )
  })

  it('with a misspelt key is refused, because a setting that silently does nothing is worse', () => {
    expect(faultsOf(GOOD.replace('full_scale', 'fullscale'))).toContain('fullscale')
  })

  it('keeps raw readings for ever unless it says for how many days, and then for two at least', () => {
    expect(read(GOOD).keepRawDays).toBeNull()
    expect(read(`${GOOD}\nstore: { keep_raw_days: 400 }\n`).keepRawDays).toBe(400)
    expect(faultsOf(`${GOOD}\nstore: { keep_raw_days: 1 }\n`)).toContain('needs at least 2 days, got 1')
  })

  it('that is not YAML is refused with the place', () => {
    expect(faultsOf('site: [\n')).toMatch(/has 1 fault/)
  })

  it('does not let a replayed capture feed a bench that is not marked simulated', () => {
    const replay = GOOD.replace(
      '{ kind: serial, device: /dev/ttyUSB0, baud: 9600, frame: { checksum: xor } }',
      '{ kind: replay, file: capture.txt }',
    )
    expect(faultsOf(replay)).toContain('instruments[0].bench (line 9) needs a bench with simulated: true')
    expect(read(replay.replace('id: A }', 'id: A, simulated: true }')).ports).toHaveLength(1)
  })
})
