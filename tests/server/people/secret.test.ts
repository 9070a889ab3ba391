import { scryptSync } from 'node:crypto'
import { expect, it } from 'vitest'
import { COST, hashSecret, isSecret, whyWeakPassword, whyWeakPin } from '../../../server/people/secret.ts'

it('keeps a salted scrypt hash with its cost beside it, and takes nothing but the secret itself', async () => {
  const [a, b] = await Promise.all([hashSecret('four quiet herons'), hashSecret('four quiet herons')])
  expect(a).not.toBe(b)
  expect(a).toMatch(/^scrypt\$32768\$8\$3\$/)
  expect(await isSecret('four quiet herons', a)).toBe(true)
  expect(await isSecret('four quiet heronS', a)).toBe(false)
  expect(await isSecret('four quiet herons', null)).toBe(false)
  const [, , , , salt = '', key = ''] = a.split('$')
  const again = scryptSync('four quiet herons', Buffer.from(salt, 'base64'), 32, {
    ...COST,
    maxmem: 2 ** 27,
  })
  expect(again.toString('base64')).toBe(key)
})

it('takes a hash of another cost than today’s', async () => {
  expect(await isSecret('x', await hashSecret('x', { N: 16, r: 1, p: 1 }))).toBe(true)
})

it.each([
  ['short', 'at least 10 characters'],
  ['aaaaaaaaaaaa', 'more than three different'],
  ['Otto Example 1', 'something else than the name'],
])('does not take the password %s', (password, why) => {
  expect(whyWeakPassword(password, 'Otto Example')).toContain(why)
})

it.each(['12345', '1234567', '111111', '123456', '987654', '12345a', '１２３４５６'])(
  'does not take the PIN %s',
  (pin) => {
    expect(whyWeakPin(pin)).toBeDefined()
  },
)

it('takes others', () => {
  expect(whyWeakPassword('four quiet herons', 'Otto')).toBeUndefined()
  expect(whyWeakPin('493817')).toBeUndefined()
})
