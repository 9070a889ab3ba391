import { readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { messageOf } from './errors.ts'
import { DEFAULT_RULES_TEXT } from './model/default-rules.ts'
import { DEFAULT_RULES, type RuleOfThumb, readRules } from './model/rules-of-thumb.ts'

const RULES_FILE = 'rules-of-thumb.yaml'
export const rulesFile = (home: string): string => join(home, RULES_FILE)

export interface RulesInForce {
  readonly rules: readonly RuleOfThumb[]
  /** What is wrong with the file and what stands in its place; null when the file is in force. */
  readonly fault: string | null
}

const LOOK_EVERY_MS = 2000

/**
 * The clinic's rules of thumb: a file in the home folder, made from the shipped entries when there is none, looked at
 * again within seconds of a change. A fault keeps the last good entries in force and is shown; it stops nothing.
 */
export const openRulesFile = (home: string, steadyMs: () => number): (() => RulesInForce) => {
  const path = rulesFile(home)
  makeIfMissing(path)
  let inForce: RulesInForce = { rules: DEFAULT_RULES, fault: null }
  let seen = ''
  let lookAgainAt = Number.NEGATIVE_INFINITY
  return () => {
    const now = steadyMs()
    if (now < lookAgainAt) return inForce
    lookAgainAt = now + LOOK_EVERY_MS
    const stamp = stampOf(path)
    if (stamp !== seen) {
      seen = stamp
      inForce = load(path, inForce.rules)
    }
    return inForce
  }
}

/** Reads a rules file for a single task: a fault is an error there. */
export const rulesFrom = (path: string): RulesInForce => load(path, DEFAULT_RULES)

const makeIfMissing = (path: string): void => {
  try {
    writeFileSync(path, DEFAULT_RULES_TEXT, { flag: 'wx', mode: 0o600 })
  } catch {
    // there already, or a disk that takes nothing: the shipped entries are in force either way
  }
}

/** Changes whenever the file does; a file that is gone or unreadable has a stamp too. */
const stampOf = (path: string): string => {
  try {
    const { mtimeMs, size, ino } = statSync(path)
    return `${mtimeMs}/${size}/${ino}`
  } catch (error) {
    return messageOf(error)
  }
}

const load = (path: string, before: readonly RuleOfThumb[]): RulesInForce => {
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch (error) {
    return { rules: before, fault: `${path} cannot be read: ${messageOf(error)}; ${KEPT}` }
  }
  const read = readRules(text)
  return read.ok
    ? { rules: read.rules, fault: null }
    : { rules: before, fault: `${path}: ${read.faults.join('; ')}; ${KEPT}` }
}

const KEPT = 'the entries read before it stay in force'
