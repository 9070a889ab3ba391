/** Why a number is missing or only a bound: the server's closed list, in words for people. */
const WORDS: Readonly<Record<string, string>> = {
  clipped: 'the meter is at the top of its range',
  'probe-lag-unknown': 'the probe’s response time is not known',
  'plateau-not-reached': 'not levelled off yet',
  'start-not-seen': 'the readings do not show its start',
  'too-few-readings': 'too few readings yet',
  'too-short': 'too short to tell',
  'no-change': 'the readings do not change',
  'no-convergence': 'no curve fits these readings',
  'noise-not-estimated': 'the scatter of the readings is not known',
  'interval-too-wide': 'too uncertain to give a number',
  'outlasts-the-record': 'lasts longer than the readings do',
  'impossible-value': 'the number found is not possible',
  'gas-still-flowing': 'gas seems to be still flowing',
  'temperature-unknown': 'the fluid’s temperature is not known',
  'not-bubbled-yet': 'ozone has not been on yet',
  'below-target-already': 'the best estimate is below the value you set',
  'nothing-left': 'nothing is left in the flask',
  'reading-too-old': 'the last reading is too old',
  'target-never-reached': 'the value you set is not reached',
  'no-basis': 'nothing to go by yet',
  'target-not-set': 'no value was set for this batch',
}

/** A code of the list, or a sentence, which passes as it is; an unknown code at least loses its hyphens. */
export const reason = (why: string): string =>
  WORDS[why] ?? (why.includes(' ') ? why : why.replaceAll('-', ' '))

/** The same inside the server's own sentences, which put the code in brackets with its hyphens taken out. */
export const withReasons = (text: string): string =>
  text.replace(/\(([a-z][a-z -]*)\)/g, (all, inside: string) => {
    const words = WORDS[inside.replaceAll(' ', '-')]
    return words === undefined ? all : `(${words})`
  })
