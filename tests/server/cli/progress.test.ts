import { describe, expect, it } from 'vitest'
import { createProgress } from '../../../server/cli/progress.ts'

const watched = (isTTY: boolean) => {
  let text = ''
  let ms = 0
  const stream = {
    isTTY,
    write: (more: string | Uint8Array) => {
      text += String(more)
      return true
    },
  }
  const progress = createProgress(stream, () => ms)
  return {
    progress,
    at: (seconds: number, part: number) => {
      ms = 1000 * seconds
      progress.say(part, 'reading')
    },
    text: () => text,
  }
}

describe('progress of a long task', () => {
  it('says nothing of a short one', () => {
    const { at, progress, text } = watched(true)
    at(1, 0.5)
    at(1.9, 1)
    progress.end()
    expect(text()).toBe('')
  })

  it('is one line that is written over on a terminal, and gone at the end', () => {
    const { at, progress, text } = watched(true)
    at(2, 0.25)
    at(2.1, 0.26)
    at(3, 0.5)
    progress.end()
    expect(text()).toBe('\r\u001b[Kreading: 25 %\r\u001b[Kreading: 50 %\r\u001b[K')
  })

  it('is a line every ten seconds in a log', () => {
    const { at, progress, text } = watched(false)
    for (let s = 0; s <= 25; s++) at(s, s / 25)
    progress.end()
    expect(text()).toBe('reading: 8 %\nreading: 48 %\nreading: 88 %\n')
  })
})
