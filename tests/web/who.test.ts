import { describe, expect, it } from 'vitest'
import type { SessionView } from '../../server/wire.ts'
import { mayRead } from '../../web/session.ts'
import { secretsTyped } from '../../web/typed/secrets-typed.ts'
import { actorOf, mayWithoutName } from '../../web/who.ts'

const OPEN: SessionView = { set_up: false, person: null, display: null }
const NOBODY: SessionView = { ...OPEN, set_up: true }
const DISPLAY: SessionView = { ...NOBODY, display: { name: 'Wall', people: [] } }
const OTTO: NonNullable<SessionView['person']> = {
  id: 'x',
  name: 'Otto',
  role: 'operator',
  acts_as: 'operator',
  by: 'password',
  idle: false,
  acts_until: '2026-03-14T10:00:00Z',
  ends_at: '2026-03-14T20:00:00Z',
  has_pin: true,
}

describe('who acts at a screen', () => {
  it('types a name until people are set up, also while the server has not said', () => {
    expect(actorOf(null)).toEqual({ kind: 'typed' })
    expect(actorOf(OPEN)).toEqual({ kind: 'typed' })
  })

  it('is the signed-in person, who only reads when idle or a viewer', () => {
    const as = (changes: Partial<typeof OTTO>) => actorOf({ ...NOBODY, person: { ...OTTO, ...changes } })
    expect(as({})).toEqual({ kind: 'person', name: 'Otto' })
    expect(as({ idle: true, acts_as: 'viewer' })).toEqual({ kind: 'reader', name: 'Otto', why: 'idle' })
    expect(as({ acts_as: 'viewer' })).toEqual({ kind: 'reader', name: 'Otto', why: 'role' })
  })

  it('is nobody yet at a shared display, where what stops gas needs no name', () => {
    const typed = ['ozone-off', 'disconnected']
    const may = (session: SessionView, kind: string) => mayWithoutName(actorOf(session), kind, typed)
    expect(['ozone-off', 'flow-off', 'discarded', 'disconnected'].map((kind) => may(DISPLAY, kind))).toEqual([
      true,
      true,
      true,
      false,
    ])
    expect(may(OPEN, 'disconnected')).toBe(true)
    expect(may({ ...NOBODY, person: { ...OTTO, acts_as: 'viewer' } }, 'ozone-off')).toBe(false)
  })

  it('is shown nothing when nobody is signed in and people are set up', () => {
    expect([null, OPEN, DISPLAY, { ...NOBODY, person: OTTO }].map(mayRead)).toEqual([true, true, true, true])
    expect(mayRead(NOBODY)).toBe(false)
  })
})

it('says what is missing of a new password and PIN', () => {
  const good = { password: 'four quiet herons', again: 'four quiet herons', pin: '' }
  expect(secretsTyped(good)).toBeNull()
  expect(secretsTyped({ ...good, password: 'short', again: 'short' })).toContain('10 characters')
  expect(secretsTyped({ ...good, again: 'four quiet heron' })).toContain('differ')
  expect(secretsTyped({ ...good, pin: '123' })).toContain('six digits')
})
