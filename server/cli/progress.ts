/** How far a long task is, on standard error: nothing in the first seconds, then one line that is written over. */
export interface Progress {
  /** `part` from 0 to 1. */
  say(part: number, words: string): void
  end(): void
}

const QUIET_MS = 2000
const EVERY_MS = 500
/** Where lines cannot be written over, as in a log. */
const EVERY_LINE_MS = 10_000

type Stream = Pick<NodeJS.WriteStream, 'write'> & { readonly isTTY?: boolean }

export const createProgress = (
  stream: Stream = process.stderr,
  nowMs = () => performance.now(),
): Progress => {
  const isTerminal = stream.isTTY === true
  let nextMs = nowMs() + QUIET_MS
  let shown = false
  return {
    say(part, words) {
      const now = nowMs()
      if (now < nextMs) return
      nextMs = now + (isTerminal ? EVERY_MS : EVERY_LINE_MS)
      shown = true
      const line = `${words}: ${(100 * Math.min(1, Math.max(0, part))).toFixed(0)} %`
      stream.write(isTerminal ? `\r\u001b[K${line}` : `${line}\n`)
    },
    end() {
      if (shown && isTerminal) stream.write('\r\u001b[K')
    },
  }
}
