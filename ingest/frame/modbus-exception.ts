import type { DiscardReason } from './frame.ts'

/** What a unit says when it refuses. Source of the codes: Modbus application protocol V1.1b3, 7. */
const EXCEPTIONS: Readonly<Record<number, readonly [DiscardReason, string]>> = {
  1: ['exception-function', 'it does not know this kind of request: try the other table, holding or input'],
  2: ['exception-address', 'it has no such register: check register, type and table against its manual'],
  3: ['exception-value', 'it does not allow this many registers at once'],
  4: ['exception-device-failure', 'it has failed inside'],
  5: ['exception-busy', 'it has taken the request and needs more time'],
  6: ['exception-busy', 'it is busy with something else'],
  8: ['exception-device-failure', 'its memory is damaged'],
  10: ['exception-gateway', 'the gateway has no way to it'],
  11: ['exception-gateway', 'the gateway got no answer from it: check its address, cable and power'],
}

export const explainException = (address: number, code: number): readonly [DiscardReason, string] => {
  const [why, words] = EXCEPTIONS[code] ?? [
    'exception-other',
    'it gives a reason that the standard does not name',
  ]
  return [why, `unit ${address} refuses: ${words} (exception ${code})`]
}
