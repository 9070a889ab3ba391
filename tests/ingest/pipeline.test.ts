import { describe, expect, it } from 'vitest'
import type { LineSpeech } from '../../ingest/config-port.ts'
import { createPipeline, type Outcome } from '../../ingest/pipeline.ts'
import { toCanonical } from '../../ingest/reading/unit-conversion.ts'
import { timeUs } from '../../ingest/units.ts'

const convert = (channel: 'dissolved-ozone' | 'fluid-temperature', unit: string) =>
  toCanonical(channel, unit) ?? Number

const port: LineSpeech = {
  speaks: 'line',
  format: { delimiter: '\n', maxBytes: 128, checksum: 'none', startsInSync: true },
  instruments: [
    {
      instrument: 'meter-a',
      bench: 'A',
      separator: ',',
      startsWith: 'O3',
      fieldCount: 3,
      intervalS: 1,
      channels: [
        {
          channel: 'dissolved-ozone',
          field: 1,
          unit: 'ug/L',
          convert: convert('dissolved-ozone', 'ug/L'),
          limits: { range: [-2, 300], fullScale: 20, maxChangePerS: 5 },
        },
        {
          channel: 'fluid-temperature',
          field: 2,
          unit: 'F',
          convert: convert('fluid-temperature', 'F'),
          limits: { range: [-5, 60] },
        },
      ],
    },
  ],
}

const at = (s: number) => ({ timeUs: timeUs(s * 1e6), monoMs: s * 1000, bootId: 'boot' })
const send = (...lines: string[]): Outcome[] => {
  const pipeline = createPipeline(port)
  return lines.map((line, i) => pipeline.push(Buffer.from(`${line}\n`), at(i)))
}
const values = (outcome: Outcome | undefined) =>
  outcome?.readings.map((r) => [
    r.series.channel,
    r.value === null ? null : Number(r.value.toFixed(6)),
    r.quality,
  ])

describe('bytes on a port', () => {
  it('become readings in canonical units, with what was sent kept beside', () => {
    const [first] = send('O3,18200,41')
    expect(values(first)).toEqual([
      ['dissolved-ozone', 18.2, 'good'],
      ['fluid-temperature', 5, 'good'],
    ])
    expect(first?.readings[0]?.raw).toBe(18_200)
  })

  it.each(['', '---', 'NaN', 'ERR 3', 'OVER', '****'])(
    'never become a number from the word "%s": a fault without a value',
    (word) => {
      expect(values(send(`O3,${word},41`)[0])?.[0]).toEqual(['dissolved-ozone', null, 'fault'])
    },
  )

  it.each(['18.2.1', '0x12', '18,2', '1e9999', '12abc'])(
    'are discarded whole, with a reason, when a number is unreadable: %s',
    (word) => {
      const [outcome] = send(`O3,${word},41`)
      expect(outcome?.readings).toEqual([])
      expect(outcome?.discarded).toHaveLength(1)
    },
  )

  it('are marked as clipped at full scale and out of range beyond belief', () => {
    const outcomes = send('O3,20000,41', 'O3,-9000,41')
    expect(values(outcomes[0])?.[0]).toEqual(['dissolved-ozone', 20, 'clipped'])
    expect(values(outcomes[1])?.[0]).toEqual(['dissolved-ozone', -9, 'out-of-range'])
  })

  it('are marked when the value jumps faster than fluid can change, and the next believable one is good', () => {
    const outcomes = send('O3,10000,41', 'O3,17000,41', 'O3,10100,41')
    expect(outcomes.map((o) => values(o)?.[0]?.[2])).toEqual(['good', 'implausible-rate', 'good'])
  })

  it('are discarded when the line is not of this instrument or has another number of fields', () => {
    const outcomes = send('PH,7.1', 'O3,18200', 'O3,18200,41,9')
    expect(outcomes.map((o) => o.discarded[0]?.why)).toEqual([
      'unexpected-line',
      'wrong-field-count',
      'wrong-field-count',
    ])
  })

  it('leave no invented reading when the line is cut at any byte by a closed port', () => {
    const line = 'O3,18200,41\n'
    for (let cut = 1; cut < line.length; cut++) {
      const pipeline = createPipeline(port)
      const before = pipeline.push(Buffer.from(line.slice(0, cut)), at(0))
      expect(before.readings).toEqual([])
      expect(pipeline.cut().discarded.map((d) => d.why)).toEqual(['torn'])
      const after = pipeline.push(Buffer.from(`${line.slice(cut)}${line}`), at(1))
      expect(values(after)).toEqual([
        ['dissolved-ozone', 18.2, 'good'],
        ['fluid-temperature', 5, 'good'],
      ])
    }
  })
})
