import type { Heard } from './heard.ts'

type Why = Heard['discards'][number]['why']

const WORDS: Readonly<Record<Why, string>> = {
  'too-long': 'too long for a line: its end was not found. Try another line end',
  'rest-of-too-long': 'rest of a line that was too long',
  'before-first-delimiter': 'what came before the first line end: listening began in the middle of a line',
  torn: 'broken off in the middle',
  'not-text': 'not text. Most often the speed or the parity is not the meter’s',
  'checksum-missing': 'without the check sum that was chosen',
  'checksum-wrong': 'check sum wrong: damaged on the way, or another kind of check sum',
  'unexpected-line': 'a whole line, but not one that this meter’s settings look for',
  'wrong-field-count': 'another number of fields than expected',
  'unreadable-number': 'something that is no number stands where a number should be',
  'missing-key': 'one of the names is missing',
  'repeated-key': 'a name stands twice in one line',
  'no-answer': 'asked, and no answer came. Check address, speed, parity, and the two wires A and B',
  'late-answer': 'answered too late',
  'other-unit': 'another unit on the line answered',
  'unexpected-answer': 'an answer, but not to what was asked',
  'own-echo': 'our own question heard back. Harmless',
  noise: 'bytes that are no answer',
  'exception-function': 'the meter refuses: it does not know this kind of question. Try the other table',
  'exception-address': 'the meter refuses: it has no such register',
  'exception-value': 'the meter refuses the number of registers asked for',
  'exception-device-failure': 'the meter says that it has failed',
  'exception-busy': 'the meter says that it is busy',
  'exception-gateway': 'the gateway says that the meter does not answer',
  'exception-other': 'the meter refuses and does not say why in a known way',
}

export const discardWords = (why: Why): string => WORDS[why]

/** What is heard while no line end is found, or none yet. */
const NOT_A_LINE = new Set<Why>(['before-first-delimiter', 'too-long', 'rest-of-too-long', 'torn'])
const SEEN_ENOUGH_BYTES = 40
const ODD_SHARE = 0.15

/** What to try next, from what arrives and what does not; null when all is as it should be. */
export const adviceOf = (
  heard: Heard,
  forS: number,
  speaks: 'line' | 'modbus-rtu',
  asks: boolean,
): string | null => {
  const { counts, state } = heard
  if (state?.state === 'waiting' || state?.state === 'stopped') return state.why
  if (counts.frames > 0) return null
  if (counts.bytes === 0 && forS >= 5)
    return speaks === 'modbus-rtu' || asks
      ? 'No answer. Is the meter on? Check its address, the speed and parity in its manual, and the cable.'
      : 'Nothing arrives. Is the meter on and sending? It may only answer when asked, or need a crossed cable.'
  const unusable = heard.discards.filter((d) => !NOT_A_LINE.has(d.why)).sort((a, b) => b.count - a.count)[0]
  if (unusable) return `Nothing that arrives can be used: ${discardWords(unusable.why)}.`
  if (speaks === 'modbus-rtu' || counts.bytes < SEEN_ENOUGH_BYTES) return null
  return counts.odd / counts.bytes > ODD_SHARE
    ? 'Bytes arrive that are not text. Try another speed, then another parity. Or the meter speaks Modbus.'
    : 'Text arrives, but no line ends in it. Try the other line end.'
}
