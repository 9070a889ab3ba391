import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Discarded, LineFrame } from '../../../ingest/frame/frame.ts'
import { createLineFramer, type LineFormat } from '../../../ingest/frame/line-framer.ts'
import { xorOf } from '../../../ingest/frame/xor-checksum.ts'

const PLAIN: LineFormat = { delimiter: '\n', maxBytes: 64, checksum: 'none', startsInSync: true }
const CHECKED: LineFormat = { delimiter: '\r\n', maxBytes: 64, checksum: 'xor', startsInSync: true }

type Frame = LineFrame | Discarded

const bytes = (text: string) => Buffer.from(text, 'latin1')
const framesOf = (format: LineFormat, chunks: readonly Uint8Array[]): Frame[] => {
  const framer = createLineFramer(format)
  return chunks.flatMap((chunk) => framer.push(chunk))
}
const linesOf = (frames: readonly Frame[]) => frames.flatMap((f) => (f.kind === 'line' ? [f.text] : []))
const bytesOf = (frames: readonly Frame[]) =>
  frames.reduce((sum, f) => sum + (f.kind === 'discarded' ? f.bytes : 0), 0)
const withSum = (content: string) =>
  `$${content}*${xorOf(content).toString(16).toUpperCase().padStart(2, '0')}\r\n`

describe('the line framer', () => {
  it('finds the lines of one chunk', () => {
    expect(linesOf(framesOf(PLAIN, [bytes('18.2\n18.1\n')]))).toEqual(['18.2', '18.1'])
  })

  it('finds the same lines when bytes come one at a time', () => {
    const one = [...bytes('18.2,5.1\r\n18.1,5.2\r\n')].map((b) => Uint8Array.of(b))
    expect(linesOf(framesOf({ ...PLAIN, delimiter: '\r\n' }, one))).toEqual(['18.2,5.1', '18.1,5.2'])
  })

  it('gives the same frames however the bytes are split', () => {
    const stream = fc.array(
      fc.constantFrom(
        '18.2\n',
        withSum('SPGW,1,18.2'),
        '\n\n',
        '\r',
        'x'.repeat(90),
        '\u00ff\u0000',
        '$SPGW,1*00\r\n',
      ),
      { maxLength: 30 },
    )
    fc.assert(
      fc.property(
        stream,
        fc.array(fc.nat(40), { maxLength: 60 }),
        fc.constantFrom(PLAIN, CHECKED, { ...PLAIN, startsInSync: false }),
        (parts, cuts, format) => {
          const all = bytes(parts.join(''))
          const chunks: Uint8Array[] = []
          let at = 0
          for (const cut of cuts) {
            chunks.push(all.subarray(at, at + cut))
            at += cut
          }
          chunks.push(all.subarray(at))
          expect(framesOf(format, chunks)).toEqual(framesOf(format, [all]))
        },
      ),
    )
  })

  it('accounts for every byte of an over-long line and holds no more than its bound', () => {
    const framer = createLineFramer(PLAIN)
    const frames: Frame[] = []
    const chunk = bytes('7'.repeat(65_536))
    for (let i = 0; i < 160; i++) frames.push(...framer.push(chunk))
    frames.push(...framer.push(bytes('\n18.2\n')))
    expect(frames.map((f) => (f.kind === 'line' ? f.text : f.why))).toEqual([
      'too-long',
      'rest-of-too-long',
      '18.2',
    ])
    expect(bytesOf(frames)).toBe(160 * 65_536)
  })

  it('gives up what comes before the first delimiter of a port, because it may be the tail of a line', () => {
    const frames = framesOf({ ...PLAIN, startsInSync: false }, [bytes('8.2\n18.1\n')])
    expect(frames).toEqual([
      { kind: 'discarded', why: 'before-first-delimiter', bytes: 3, sample: '8.2' },
      { kind: 'line', text: '18.1' },
    ])
  })

  it('never joins a line torn by a closed port with what comes after', () => {
    const framer = createLineFramer(PLAIN)
    expect(framer.push(bytes('18.2\n1'))).toHaveLength(1)
    expect(framer.close()).toEqual([{ kind: 'discarded', why: 'torn', bytes: 1, sample: '1' }])
    expect(linesOf(framer.push(bytes('8.2\n17.9\n')))).toEqual(['17.9'])
  })

  it('invents no reading from a checksummed line torn at any byte and followed by the next', () => {
    const [first, second] = [
      withSum('SPGW,000123,23.40,ugml,5.12,C'),
      withSum('SPGW,000124,23.38,ugml,5.12,C'),
    ]
    for (let cut = 1; cut < first.length; cut++) {
      const lines = linesOf(framesOf(CHECKED, [bytes(first.slice(0, cut)), bytes(second)]))
      expect(
        lines.filter((l) => l !== 'SPGW,000123,23.40,ugml,5.12,C' && l !== 'SPGW,000124,23.38,ugml,5.12,C'),
      ).toEqual([])
    }
  })

  it('never takes a checksummed line with one flipped bit for a good one', () => {
    const good = bytes(withSum('SPGW,000123,23.40,ugml,5.12,C'))
    const body = good.length - 2
    for (let bit = 0; bit < body * 8; bit++) {
      const flipped = Buffer.from(good)
      flipped[bit >> 3] = (flipped[bit >> 3] ?? 0) ^ (1 << (bit & 7))
      const content = linesOf(framesOf(CHECKED, [flipped]))
      // upper and lower case of a hexadecimal digit mean the same checksum: the content is then untouched
      expect(content.every((l) => l === 'SPGW,000123,23.40,ugml,5.12,C')).toBe(true)
    }
  })

  it('says of bytes that are not text that they are not, and goes on', () => {
    const frames = framesOf(PLAIN, [Buffer.from([0xff, 0x00, 0x81, 0x0a]), bytes('18.2\n')])
    expect(frames.map((f) => (f.kind === 'line' ? f.text : f.why))).toEqual(['not-text', '18.2'])
  })

  it('passes over empty lines without counting them as rubbish', () => {
    expect(framesOf(PLAIN, [bytes('\n\r\n18.2\n')])).toEqual([{ kind: 'line', text: '18.2' }])
  })
})
