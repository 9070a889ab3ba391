import { expect, it } from 'vitest'
import { REACHED, seenOf } from '../../../server/notify/delivery-seen.ts'
import { toldElsewhere, webhookTo } from '../../support/told-elsewhere.ts'

const REFUSED = { status: 400 }
const TAKEN = { status: 204 }

const watched = async (answer: Parameters<typeof toldElsewhere>[0]) => {
  const site = await toldElsewhere(answer)
  await site.begin()
  const { file, clock } = site
  const seen = () => seenOf(file, site.notifier().seen(), [webhookTo(site.http.url)], clock.server.nowMs())
  return { ...site, seen }
}

it('is well while nothing was tried in vain', async () => {
  const site = await watched(() => TAKEN)
  expect(site.seen()).toEqual(REACHED)
  site.raises()
  await site.look()
  expect(site.seen()).toEqual(REACHED)
})

it('counts how long the oldest message has waited since it was due, and for whom', async () => {
  const site = await watched(() => ({ status: 503 }))
  site.raises()
  await site.look()
  site.clock.pass(100)
  expect(site.seen()).toEqual({ ...REACHED, oldestTriedS: 100, notReached: ['pager'] })
})

it('names who refused the last message, for a day or until another got through', async () => {
  let answer = REFUSED
  const site = await watched(() => answer)
  site.raises()
  await site.look()
  expect(site.seen()).toEqual({ ...REACHED, refusedBy: ['pager'] })
  site.clock.pass(86_399)
  expect(site.seen().refusedBy).toEqual(['pager'])
  site.clock.pass(1)
  expect(site.seen().refusedBy).toEqual([])
  site.raises({ alarm: 'disk-nearly-full' })
  await site.look()
  expect(site.seen().refusedBy).toEqual(['pager'])
  answer = TAKEN
  site.raises({ alarm: 'calibration-overdue', priority: 'high' })
  await site.look()
  expect(site.seen()).toEqual(REACHED)
})

it('does not count what is about itself, or it would never end', async () => {
  const site = await watched(() => REFUSED)
  site.changes('normal', 'unacknowledged', { alarm: 'delivery-failing' }, null)
  await site.look()
  expect(site.file.newest(1)[0]).toMatchObject({ state: 'refused', told: { key: 'site:delivery-failing' } })
  expect(site.seen()).toEqual(REACHED)
})
