import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { batchesMentioning } from '../../../server/ledger/batches-mentioning.ts'
import { newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const filled = () => {
  const { ledger } = temporaryLedger()
  const [first, second, third] = [uuidv7(), uuidv7(), uuidv7()] as const
  const opened = (batch: string, lot: string, name = 'Ines') =>
    ledger.append(
      newEntry('batch-opened', 0, { ...OPENED, lot }, { id: uuidv7(), batch, who: { name, how: 'typed' } }),
    )
  opened(first, 'S-1063')
  opened(second, 'D "231" 5%', 'Rui')
  opened(third, 'Ł-7')
  ledger.append(newEntry('note', 3, { text: 'foam seen' }, { id: uuidv7(), batch: third }))
  const named = new Map([
    [first, 'first'],
    [second, 'second'],
    [third, 'third'],
  ])
  return (words: string) => {
    const found = batchesMentioning(ledger.db, words)
    return found && [...found].map((id) => named.get(id)).sort()
  }
}

describe('batches that mention words', () => {
  it('are found by lot, name and note, in any letters', () => {
    const find = filled()
    expect(find('s-106')).toEqual(['first'])
    expect(find('RUI')).toEqual(['second'])
    expect(find('foam')).toEqual(['third'])
    expect(find('nothing like it')).toEqual([])
  })

  it('are found with quotes and with what other searches take for a pattern', () => {
    const find = filled()
    expect(find('"231"')).toEqual(['second'])
    expect(find('5%')).toEqual(['second'])
    expect(find('S_1063')).toEqual([])
  })

  it('are left to their reader where the letters are not those of a to z', () => {
    expect(filled()('ł-7')).toBeUndefined()
  })
})
