import { checkCrc } from './crc-checksum.ts'
import type { Discarded, DiscardReason, Framer, LineFrame } from './frame.ts'
import { checkXor } from './xor-checksum.ts'

export interface LineFormat {
  /** Byte string that ends a line. One to four bytes. */
  readonly delimiter: string
  /** Longest line in bytes, delimiter not counted. */
  readonly maxBytes: number
  readonly checksum: 'none' | 'xor' | 'crc16'
  /** False when the stream may start in the middle of a line (a port); true for a file. */
  readonly startsInSync: boolean
}

const SAMPLE_BYTES = 60

type State = 'in-line' | 'skipping' | 'unsynchronised'

/** What the bytes up to the next delimiter are called when they cannot be a line. */
const GIVEN_UP_AS: Readonly<Record<State, DiscardReason | undefined>> = {
  'in-line': undefined,
  skipping: 'rest-of-too-long',
  unsynchronised: 'before-first-delimiter',
}

/**
 * ASCII lines out of a byte stream. Memory is bounded by `maxBytes`: at the bound the line is given up as
 * `too-long`, and the bytes up to its delimiter are only counted (`rest-of-too-long`).
 */
export const createLineFramer = (format: LineFormat): Framer => {
  const delimiter = Buffer.from(format.delimiter, 'latin1')
  const line = Buffer.alloc(format.maxBytes + delimiter.length)
  let length = 0
  let skipped = 0
  let state: State = format.startsInSync ? 'in-line' : 'unsynchronised'

  const discarded = (why: DiscardReason, bytes: number): Discarded => ({
    kind: 'discarded',
    why,
    bytes,
    sample: sample(line, Math.min(length, bytes)),
  })

  /** True when the buffered bytes end with the delimiter. */
  const ended = () =>
    length >= delimiter.length &&
    line.compare(delimiter, 0, delimiter.length, length - delimiter.length, length) === 0

  const finish = (): (LineFrame | Discarded)[] => {
    const content = length - delimiter.length
    const given = skipped + content
    const why = GIVEN_UP_AS[state]
    const frames =
      why === undefined ? judgeLine(line, content, format) : given > 0 ? [discarded(why, given)] : []
    state = 'in-line'
    skipped = 0
    length = 0
    return frames
  }

  /** The buffer is full without a delimiter: keep only the bytes that could begin one. */
  const overflow = (): Discarded[] => {
    const keep = delimiter.length - 1
    const given = length - keep
    const frames = state === 'in-line' ? [discarded('too-long', given)] : []
    if (state !== 'in-line') skipped += given
    if (state === 'in-line') state = 'skipping'
    line.copy(line, 0, length - keep, length)
    length = keep
    return frames
  }

  return {
    push(chunk) {
      const frames: (LineFrame | Discarded)[] = []
      for (const byte of chunk) {
        line[length] = byte
        length += 1
        if (byte === delimiter[delimiter.length - 1] && ended()) frames.push(...finish())
        else if (length === line.length) frames.push(...overflow())
      }
      return frames
    },
    isWithinLine: () => length + skipped > 0 || state === 'skipping',
    close() {
      const bytes = length + skipped
      const frames = bytes > 0 ? [discarded(GIVEN_UP_AS[state] ?? 'torn', bytes)] : []
      length = 0
      skipped = 0
      state = 'unsynchronised'
      return frames
    },
  }
}

const PRINTABLE = /^[\x20-\x7e\t]*$/

const judgeLine = (line: Buffer, length: number, format: LineFormat): (LineFrame | Discarded)[] => {
  const text = line.toString('latin1', 0, length).replace(/\r$/, '')
  if (text.trim() === '') return []
  const discarded = (why: DiscardReason): Discarded[] => [
    { kind: 'discarded', why, bytes: length, sample: sample(line, length) },
  ]
  if (!PRINTABLE.test(text)) return discarded('not-text')
  if (format.checksum === 'none') return [{ kind: 'line', text }]
  const checked = format.checksum === 'xor' ? checkXor(text) : checkCrc(text)
  return checked.ok ? [{ kind: 'line', text: checked.content }] : discarded(checked.why)
}

/** Enough of the bytes to recognise them on a screen; anything unprintable as a dot. */
const sample = (line: Buffer, length: number): string =>
  line.toString('latin1', 0, Math.min(length, SAMPLE_BYTES)).replace(/[^\x20-\x7e]/g, '.')
