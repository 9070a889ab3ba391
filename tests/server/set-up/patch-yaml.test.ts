import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { patchYaml } from '../../../server/set-up/patch-yaml.ts'

const FILE = `# Wiring of our clinic, kept by Ines
site: { name: "Clínica", zone: Europe/Lisbon }     # zone of the site


benches:
- { id: A,   name: Bench A }    # by the window
- { id: B }
ports:
    # the old meter
    meter-a:
        kind: serial    # USB
        baud: 9600      # as in its manual, page 4
        device: "/dev/serial/by-path/x"
        frame: { delimiter: "\\r\\n",  checksum: xor }  # it sends CR LF
        # parity: even
    # the network one
    meter-b: { kind: tcp, host: 'h', port: 4001 }   # rack

# what they measure
instruments:
  - id: meter-a   # serial 1234
    port: meter-a
    bench: A
    channels:
      - { channel: dissolved-ozone, field: 2,   unit: ug/mL }   # first
      - channel: fluid-temperature   # second
        field: 4
        unit: C
      # no pH probe
    # calibrated in May
  - id: meter-b
    port: meter-b
    bench: B
    channels: [{ channel: dissolved-ozone, field: 0, unit: mg/L }]
# at the end
store: { commit_interval_ms: 50 }
`
type Tree = ReturnType<typeof tree>
const tree = () =>
  parse(FILE) as {
    site: Record<string, unknown>
    benches: Record<string, unknown>[]
    ports: Record<string, Record<string, unknown>>
    instruments: (Record<string, unknown> & { channels: Record<string, unknown>[] })[]
    store: Record<string, unknown>
  }
/** The file after a change of what it says, as lines that went and lines that came. */
const changed = (change: (file: Tree) => void, text = FILE) => {
  const wanted = tree()
  change(wanted)
  const after = patchYaml(text, wanted)
  expect(parse(after)).toEqual(wanted)
  const [old, now] = [text.split('\n'), after.split('\n')]
  return {
    text: after,
    gone: old.filter((line) => !now.includes(line)),
    come: now.filter((line) => !old.includes(line)),
  }
}

describe('a wiring file changed on screen', () => {
  it('that says what it should stays byte for byte', () => {
    expect(patchYaml(FILE, tree())).toBe(FILE)
  })

  it('gets a new port and instrument after the last, and not one other byte', () => {
    const { text, gone, come } = changed((file) => {
      file.ports['meter-c'] = { kind: 'serial', baud: 9600, usb: { vendor: '0403', product: '6001' } }
      file.instruments.push({
        id: 'meter-c',
        port: 'meter-c',
        bench: 'A',
        channels: [{ channel: 'ph', field: 1, unit: 'pH' }],
      })
    })
    expect(gone).toEqual([])
    expect(come).toEqual([
      '    meter-c:',
      '      kind: serial',
      '      baud: 9600',
      '      usb: { vendor: "0403", product: "6001" }',
      '  - id: meter-c',
      '    port: meter-c',
      '      - { channel: ph, field: 1, unit: pH }',
    ])
    expect(text).toContain('port: 4001 }   # rack\n    meter-c:')
    expect(text).toContain('unit: mg/L }]\n  - id: meter-c')
    expect(text.endsWith('# at the end\nstore: { commit_interval_ms: 50 }\n')).toBe(true)
  })

  it('changes a number in its line and keeps the comment beside it', () => {
    const { gone, come } = changed((file) => {
      ;(file.ports['meter-a'] as Record<string, unknown>)['baud'] = 19_200
      ;(file.ports['meter-b'] as Record<string, unknown>)['host'] = 'other, host'
    })
    expect(gone).toHaveLength(2)
    expect(come).toEqual([
      '        baud: 19200      # as in its manual, page 4',
      '    meter-b: { kind: tcp, host: "other, host", port: 4001 }   # rack',
    ])
  })

  it('takes a channel away, changes one and adds one', () => {
    const { gone, come } = changed((file) => {
      const [first] = file.instruments
      if (!first) return
      first.channels = [
        { channel: 'dissolved-ozone', field: 3, unit: 'ug/mL', full_scale: 50 },
        { channel: 'ph', field: 5, unit: 'pH' },
      ]
    })
    expect(gone).toEqual([
      '      - { channel: dissolved-ozone, field: 2,   unit: ug/mL }   # first',
      '      - channel: fluid-temperature   # second',
      '        field: 4',
      '        unit: C',
    ])
    expect(come).toEqual([
      '      - { channel: dissolved-ozone, field: 3,   unit: ug/mL, full_scale: 50 }   # first',
      '      - { channel: ph, field: 5, unit: pH }',
    ])
  })

  it('with Windows line ends keeps them, also in what is new', () => {
    const { text } = changed(
      (file) => {
        file.ports['meter-c'] = { kind: 'tcp', host: 'h', port: 1 }
      },
      FILE.replaceAll('\n', '\r\n'),
    )
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/)
    expect(text).toContain('    meter-c: { kind: tcp, host: h, port: 1 }\r\n')
  })

  it('without a line break at its end gets one before what is new', () => {
    const text = 'ports:\n  a: { kind: tcp, host: h, port: 1 }'
    expect(
      patchYaml(text, {
        ports: { a: { kind: 'tcp', host: 'h', port: 1 }, b: { kind: 'tcp', host: 'i', port: 2 } },
      }),
    ).toBe('ports:\n  a: { kind: tcp, host: h, port: 1 }\n  b: { kind: tcp, host: i, port: 2 }\n')
  })

  it('where nothing can be cut in is written anew and keeps its comments', () => {
    const text =
      '# top\nports: {}   # none yet\ninstruments: &all\n  - id: a # one\n    same: &s { x: 1 }\nother: *s\n'
    const wanted = {
      ports: { a: { kind: 'tcp' } },
      instruments: [{ id: 'a', same: { x: 2 } }],
      other: { x: 1 },
    }
    const after = patchYaml(text, wanted)
    for (const comment of ['# top', '# none yet', '# one']) expect(after).toContain(comment)
    expect(parse(after)).toMatchObject({ ports: { a: { kind: 'tcp' } } })
  })

  it('says what it should after any change, and loses no comment', () => {
    const scalar = fc.oneof(
      fc.string({ maxLength: 12 }),
      fc.constantFrom('\r\n', '0403', 'null', 'yes', '# x', 'a: b', '- c', '1e3', "it's", '"q"', ', }', ' '),
      fc.integer(),
      fc.boolean(),
      fc
        .double({ noNaN: true, noDefaultInfinity: true, min: -1e6, max: 1e6 })
        .filter((d) => !Object.is(d, -0)),
    )
    const key = fc.constantFrom('kind', 'baud', 'parity', 'device', 'frame', 'host', 'extra key')
    const settings = fc.dictionary(key, scalar, { minKeys: 1, maxKeys: 4, noNullPrototype: true })
    const channel = fc.record({
      channel: fc.constantFrom('dissolved-ozone', 'fluid-temperature', 'ph'),
      field: fc.nat(9),
      unit: fc.constantFrom('C', 'ug/mL'),
    })
    const comments = FILE.match(/#.*$/gm) ?? []
    fc.assert(
      fc.property(
        fc.constantFrom('meter-a', 'meter-b', 'meter-c'),
        settings,
        fc
          .uniqueArray(channel, { minLength: 1, maxLength: 3, selector: (c) => c.channel })
          .map((list) => list.sort((a, b) => a.channel.localeCompare(b.channel))),
        fc.constantFrom(0, 1, 2),
        (port, its, channels, which) => {
          const wanted = tree()
          wanted.ports[port] = { ...wanted.ports[port], ...its }
          const there = wanted.instruments[which]
          if (there) there.channels = channels
          else wanted.instruments.push({ id: 'new', port, channels })
          const after = patchYaml(FILE, wanted)
          expect(parse(after)).toEqual(wanted)
          const isRemoved = (comment: string) => /first|second/.test(comment)
          for (const comment of comments) if (!isRemoved(comment)) expect(after).toContain(comment)
        },
      ),
      { numRuns: 300 },
    )
  })
})
