import { readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { DEFAULT_RULES } from '../../server/model/rules-of-thumb.ts'
import { openRulesFile, rulesFile } from '../../server/rules-file.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

const MINE = `rules:
  - { id: mine, kind: range, about: half_life_min, low: 40, high: 60, words: forty to sixty, origin: our log }
`

const opened = () => {
  const home = temporaryFolder()
  let ms = 0
  const inForce = openRulesFile(home, () => ms)
  return {
    path: rulesFile(home),
    inForce,
    later: () => {
      ms += 10_000
      return inForce()
    },
  }
}

describe('the file of rules of thumb', () => {
  it('is made with the shipped entries, for its owner alone, and never written over', () => {
    const { path, inForce } = opened()
    expect(inForce()).toEqual({ rules: DEFAULT_RULES, fault: null })
    expect(statSync(path).mode & 0o777).toBe(0o600)
    writeFileSync(path, MINE)
    openRulesFile(path.replace(/[^/\\]+$/, ''), () => 0)
    expect(readFileSync(path, 'utf8')).toBe(MINE)
  })

  it('is read again when the clinic edits it', () => {
    const { path, inForce, later } = opened()
    inForce()
    writeFileSync(path, MINE)
    expect(later()).toMatchObject({ rules: [{ id: 'mine', low: 40 }], fault: null })
  })

  it('with a fault keeps the last good entries in force and says so', () => {
    const { path, inForce, later } = opened()
    writeFileSync(path, MINE)
    expect(inForce().rules).toHaveLength(1)
    writeFileSync(path, MINE.replace('low: 40', 'low: 400'))
    const broken = later()
    expect(broken.rules).toMatchObject([{ id: 'mine', low: 40 }])
    expect(broken.fault).toMatch(
      /rules-of-thumb\.yaml: rules\.0\.high: needs a number not below low; .* stay in force/,
    )
    writeFileSync(path, MINE)
    expect(later().fault).toBeNull()
  })

  it('that is taken away is a fault too, and nothing stops', () => {
    const { path, inForce, later } = opened()
    inForce()
    rmSync(path)
    expect(later().rules).toEqual(DEFAULT_RULES)
    expect(later().fault).toContain('cannot be read')
  })
})
