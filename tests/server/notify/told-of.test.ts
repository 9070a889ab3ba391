import { expect, it } from 'vitest'
import type { EntryOf } from '../../../server/ledger/entry.ts'
import { toldOf } from '../../../server/notify/told-of.ts'
import { newEntry, temporaryLedger } from '../../support/entries.ts'

const bench = (id: string, simulated: boolean) => ({ id, name: `Bench ${id}`, simulated, control: null })

const told = (at: string | null, siteIsSimulated: boolean) => {
  const { ledger } = temporaryLedger()
  const data = { alarm: 'disk-nearly-full', from: 'normal', to: 'unacknowledged', priority: 'low', text: 'x' }
  const more = { bench: at, batch: null, why: 'typed by a person' }
  const { entry } = ledger.append(newEntry('alarm', 0, data, more))
  const config = { simulated: siteIsSimulated, benches: [bench('A', true), bench('B', siteIsSimulated)] }
  return toldOf({ config, ledger, alarms: () => [] })(entry as EntryOf<'alarm'>)
}

it.each([
  ['A', false, true],
  ['B', false, false],
  ['B', true, true],
  [null, false, false],
  [null, true, true],
] as const)('of bench %s at a simulated site (%s) is marked simulated: %s', (at, site, simulated) => {
  expect(told(at, site).simulated).toBe(simulated)
})

it('keeps what was typed to itself, and does without what the screens no longer show', () => {
  const site = told(null, false)
  expect(JSON.stringify(site)).not.toMatch(/typed|Ines/)
  expect(site).toMatchObject({ key: 'site:disk-nearly-full', bench: null, batch: null, whatToDo: null })
  expect(told('gone', false).bench).toEqual({ id: 'gone', name: 'Bench gone' })
})
