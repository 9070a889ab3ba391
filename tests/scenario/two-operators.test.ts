import { v7 as uuidv7 } from 'uuid'
import { afterEach, describe, expect, it } from 'vitest'
import { get, OPENING, person } from '../support/api.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, runPart } from '../support/program.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

/** Undo is offered for 10 s, and 3 s of grace are given for the way. */
const UNDO_OVER_MS = 13_200

const serve = async () => {
  const home = makeHome(wiring({ port: tcpPort(9), benches: ['A', 'B'] }))
  const { address } = await runPart(['serve'], { home }).started()
  return { address, ines: person(address, 'Ines'), rui: person(address, 'Rui') }
}

describe('two operators at one batch', () => {
  it('the one who acts second on an old picture is told what the first did, and nothing is written twice', async () => {
    const { ines, rui } = await serve()
    const batch = await ines.opens()
    const { seq } = (await ines.record(batch)).summary.head
    const both = await Promise.all([
      ines.enter(batch, { kind: 'ozone-on' }, seq),
      rui.enter(batch, { kind: 'ozone-on' }, seq),
    ])
    expect(both.map((a) => a.status).sort()).toEqual([200, 409])
    const refused = both.find((a) => a.status === 409)
    expect(refused?.body.entries?.map((e) => e.kind)).toEqual(['ozone-on'])
    expect(refused?.body.detail).toContain('newer entry')
    expect((await ines.record(batch)).entries.filter((e) => e.kind === 'ozone-on')).toHaveLength(1)
  })

  it('only one of two batches opened at one bench at once is opened', async () => {
    const { ines, rui } = await serve()
    const answers = await Promise.all([
      ines.enter(uuidv7(), OPENING, 0),
      rui.enter(uuidv7(), OPENING, 0),
      ines.enter(uuidv7(), OPENING, 0),
    ])
    expect(answers.map((a) => a.status).sort()).toEqual([200, 422, 422])
    expect(answers.find((a) => a.status === 422)?.body.detail).toContain('still open at this bench')
  })
})

describe('an entry', () => {
  it('sent twenty times under one id is written once', async () => {
    const { ines } = await serve()
    const batch = await ines.opens()
    const id = uuidv7()
    const note = { kind: 'note', data: { text: 'once' } } as const
    const answers = await Promise.all(Array.from({ length: 20 }, () => ines.enter(batch, note, 1000, { id })))
    expect(answers.map((a) => a.status)).toEqual(Array.from({ length: 20 }, () => 200))
    expect(new Set(answers.map((a) => a.body.entry.hash)).size).toBe(1)
    expect((await ines.record(batch)).entries.filter((e) => e.kind === 'note')).toHaveLength(1)
  })

  it('under the id of another entry is refused', async () => {
    const { ines } = await serve()
    const batch = await ines.opens()
    const id = uuidv7()
    await ines.does(batch, { kind: 'note', data: { text: 'first' } }, { id })
    const other = await ines.enter(batch, { kind: 'ozone-on' }, 1000, { id })
    expect(other.status).toBe(400)
    expect(other.body.detail).toContain('already names another entry')
    const changed = await ines.enter(batch, { kind: 'note', data: { text: 'second' } }, 1000, { id })
    expect(changed.status, 'another text is another entry').toBe(400)
  })

  it('under the same id in capital letters is the same entry', async () => {
    const { ines } = await serve()
    const batch = await ines.opens()
    const id = uuidv7()
    const note = { kind: 'note', data: { text: 'once' } } as const
    await ines.does(batch, note, { id })
    expect((await ines.enter(batch.toUpperCase(), note, 1000, { id: id.toUpperCase() })).status).toBe(200)
    expect((await ines.record(batch)).entries.filter((e) => e.kind === 'note')).toHaveLength(1)
  })

  it('can be taken back for ten seconds, once, and not later', async () => {
    const { ines, rui } = await serve()
    const batch = await ines.opens()
    const taken = await ines.does(batch, { kind: 'ozone-on' })
    const late = await ines.does(batch, { kind: 'note', data: { text: 'stays' } })
    expect(taken.undo_until).not.toBeNull()
    await ines.does(batch, { kind: 'undone', data: { entry: taken.entry.id } })
    expect((await ines.record(batch)).summary.head.phase.kind).toBe('set-up')
    const twice = await rui.enter(batch, { kind: 'undone', data: { entry: taken.entry.id } }, 1000)
    expect(twice).toMatchObject({
      status: 422,
      body: { detail: expect.stringContaining('taken back already') },
    })
    expect(
      (await ines.record(batch)).entries.map((e) => e.kind),
      'the record keeps both',
    ).toEqual(['batch-opened', 'ozone-on', 'note', 'undone'])
    await pause(UNDO_OVER_MS)
    const over = await ines.enter(batch, { kind: 'undone', data: { entry: late.entry.id } }, 1000)
    expect(over).toMatchObject({ status: 422, body: { detail: expect.stringContaining('10 seconds') } })
    // a time of one's own choosing does not turn the clock back
    const claimed = await ines.enter(batch, { kind: 'undone', data: { entry: late.entry.id } }, 1000, {
      happened_at: late.entry.entered_at,
    })
    expect(claimed.status).toBe(422)
  })

  it('about the future, or about more than there is, is refused', async () => {
    const { ines } = await serve()
    const batch = await ines.opens()
    const soon = new Date(Date.now() + 60_000).toISOString()
    const future = await ines.enter(batch, { kind: 'ozone-on' }, 1000, { happened_at: soon })
    expect(future).toMatchObject({ status: 400, body: { detail: expect.stringContaining('in the future') } })
    await ines.does(batch, { kind: 'drawn-up', data: { ml: 200 } })
    const more = await ines.enter(batch, { kind: 'drawn-up', data: { ml: 50.1 } }, 1000)
    expect(more).toMatchObject({
      status: 422,
      body: { detail: expect.stringContaining('only 50 mL are left') },
    })
    await ines.does(batch, { kind: 'drawn-up', data: { ml: 50 } })
    expect((await ines.record(batch)).summary.head.left_ml).toBe(0)
  })

  it('that opens a batch long before the bench was free is refused', async () => {
    const { ines } = await serve()
    const first = await ines.opens()
    await ines.does(first, { kind: 'discarded' })
    const answer = await ines.enter(uuidv7(), OPENING, 0, { happened_at: '2001-01-01T00:00:00Z' })
    expect(answer.status).toBe(422)
  })
})

describe('an acknowledgement', () => {
  it('by a second person leaves the first as the one who has seen it', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    const { address } = await runPart(['serve'], { home }).started()
    await runPart(['daemon'], { home }).started()
    const [ines, rui] = [person(address, 'Ines'), person(address, 'Rui')]
    const alarm = await until('the alarm', () => ines.alarm('instrument-silent'))
    expect((await ines.acknowledges(alarm.key)).status).toBe(200)
    expect((await rui.acknowledges(alarm.key)).status).toBe(200)
    expect(await ines.alarm('instrument-silent')).toMatchObject({
      state: 'acknowledged',
      acknowledged_by: 'Ines',
    })
    const history = await get<{ entries: { who: { name: string }; data: { to: string } }[] }>(
      address,
      '/api/alarms/history',
    )
    const acknowledged = history.entries.filter((e) => e.data.to === 'acknowledged')
    expect(acknowledged.map((e) => e.who.name)).toEqual(['Ines'])
  })

  it('of an alarm that does not exist is refused', async () => {
    const { ines } = await serve()
    expect((await ines.acknowledges('A:nothing')).status).toBe(404)
  })
})
