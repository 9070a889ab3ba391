import { withCrc16 } from './crc16.ts'

/** The two tables of 16-bit registers. There is no name here for anything that writes, so nothing can. */
export type RegisterTable = 'holding' | 'input'

/** Addresses are those on the wire, counted from 0. */
export interface ReadRequest {
  /** Address of the unit on the line, 1 to 247. */
  readonly address: number
  readonly table: RegisterTable
  readonly start: number
  readonly count: number
}

/** Read holding registers, read input registers. Source: Modbus application protocol V1.1b3, 6.3 and 6.4. */
const FUNCTION: Readonly<Record<RegisterTable, number>> = { holding: 3, input: 4 }

export const functionOf = (request: ReadRequest): number => FUNCTION[request.table]

/** Registers that one request may ask for. Source: Modbus application protocol V1.1b3, 6.3. */
export const MOST_REGISTERS = 125

export const requestBytes = (request: ReadRequest): Uint8Array =>
  withCrc16([
    request.address,
    functionOf(request),
    request.start >> 8,
    request.start & 0xff,
    request.count >> 8,
    request.count & 0xff,
  ])

export const describeRequest = ({ address, table, start, count }: ReadRequest): string =>
  `unit ${address}, ${table} ${count === 1 ? `register ${start}` : `registers ${start} to ${start + count - 1}`}`

/** Two requests whose answers look alike: an answer names unit, table and length, but not where it was read. */
export const answersLookAlike = (a: ReadRequest, b: ReadRequest): boolean =>
  a.address === b.address && a.table === b.table && a.count === b.count
