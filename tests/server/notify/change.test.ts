import { expect, it } from 'vitest'
import { changeOf } from '../../../server/notify/change.ts'

it.each([
  ['normal', 'unacknowledged', 'raised'],
  ['suppressed-by-design', 'unacknowledged', 'raised'],
  ['returned-unacknowledged', 'unacknowledged', 'raised-again'],
  ['shelved', 'unacknowledged', 'raised-again'],
  ['out-of-service', 'unacknowledged', 'raised-again'],
  ['unacknowledged', 'acknowledged', 'seen'],
  ['unacknowledged', 'shelved', 'seen'],
  ['acknowledged', 'out-of-service', 'seen'],
  ['unacknowledged', 'returned-unacknowledged', 'returned'],
  ['acknowledged', 'normal', 'returned'],
  ['shelved', 'normal', 'returned'],
  ['returned-unacknowledged', 'normal', 'nothing'],
  ['unacknowledged', 'suppressed-by-design', 'no-longer-applies'],
  ['unacknowledged', 'a state of a later version', 'nothing'],
] as const)('a change from %s to %s is told as %s', (from, to, change) => {
  expect(changeOf({ alarm: 'x', priority: 'high', text: 'x', from, to })).toBe(change)
})
