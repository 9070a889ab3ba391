import { describe, expect, it } from 'vitest'
import { understand } from '../../../ingest/tap/tap-message.ts'

const TOKEN = 'a'.repeat(64)
const told = (message: object) => understand(JSON.stringify({ token: TOKEN, ...message }), TOKEN)
const why = (message: object): string => {
  const understood = told(message)
  return understood.ok ? 'understood' : understood.why
}
const LINE = { kind: 'tcp', host: '127.0.0.1', port: 4000 }
const MODBUS = { ...LINE, frame: { kind: 'modbus-rtu' } }
const REGISTERS = { address: 1, table: 'holding', start: 0, count: 2 }

describe('a message to the daemon', () => {
  it('is refused without the token, whatever else it says', () => {
    for (const line of [
      '{}',
      '{"token":1}',
      '[]',
      `{"token":"${'b'.repeat(64)}","ask":"status"}`,
      '{"token":""}',
    ])
      expect(understand(line, TOKEN), line).toMatchObject({
        ok: false,
        why: expect.stringContaining('token'),
      })
    expect(understand('not json', TOKEN)).toMatchObject({ ok: false, why: expect.stringContaining('JSON') })
  })

  it('asks for the status, for a port at work, or for a trial', () => {
    expect(told({ ask: 'status' })).toEqual({ ok: true, question: { ask: 'status' } })
    expect(told({ ask: 'listen', port: 'meter-a' })).toMatchObject({ ok: true })
    expect(told({ ask: 'listen', trial: { port: LINE } })).toMatchObject({
      ok: true,
      question: { trial: { port: { frame: { kind: 'line', delimiter: '\n' } }, interval_s: 1 } },
    })
    expect(told({ ask: 'listen', trial: { port: MODBUS, registers: REGISTERS } })).toMatchObject({ ok: true })
  })

  it('that asks for anything else is refused with what it needs', () => {
    expect(why({ ask: 'write', bytes: '01060000' })).toMatch(/ask needs/)
    expect(why({ ask: 'listen', trial: { port: LINE, send: '01' } })).toMatch(/send|Unrecognized/)
    expect(why({ ask: 'listen', trial: { port: { kind: 'replay', file: '/etc/passwd' } } })).toMatch(
      /trial.port needs kind serial or tcp/,
    )
    expect(why({ ask: 'listen', trial: { port: MODBUS } })).toMatch(/trial.registers needs address/)
    expect(why({ ask: 'listen', trial: { port: LINE, registers: REGISTERS } })).toMatch(/speaks lines/)
    expect(
      why({ ask: 'listen', trial: { port: MODBUS, registers: { ...REGISTERS, function: 6 } } }),
    ).not.toBe('understood')
    expect(
      why({ ask: 'listen', trial: { port: MODBUS, registers: { ...REGISTERS, start: 65_535 } } }),
    ).toMatch(/65536 at most/)
    expect(
      why({
        ask: 'listen',
        trial: {
          port: { kind: 'serial', device: '/dev/x', baud: 9600, data_bits: 7, frame: { kind: 'modbus-rtu' } },
          registers: REGISTERS,
        },
      }),
    ).toMatch(/trial.port.data_bits needs 8/)
  })
})
