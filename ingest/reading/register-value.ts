/** How a number lies in 16-bit registers. */
export const REGISTER_TYPES = ['int16', 'uint16', 'int32', 'uint32', 'float32'] as const
export type RegisterType = (typeof REGISTER_TYPES)[number]

/**
 * Order of the bytes on the wire, A the most significant of the number. The standard says ABCD for each register and
 * nothing of two; meters use all four. A 16-bit number has no words to swap: BADC and DCBA swap its two bytes.
 */
export const WORD_ORDERS = ['ABCD', 'CDAB', 'BADC', 'DCBA'] as const
export type WordOrder = (typeof WORD_ORDERS)[number]

export const registersOf = (type: RegisterType): 1 | 2 => (type === 'int16' || type === 'uint16' ? 1 : 2)

/** The number in one or two registers. NaN and infinities of float32 come out as they are. */
export const registerValue = (words: readonly number[], type: RegisterType, order: WordOrder): number => {
  const bytes = words.flatMap((word) => [word >> 8, word & 0xff])
  const letters = bytes.length === 2 ? SWAPS_BYTES[order] : order
  const view = new DataView(new ArrayBuffer(4))
  bytes.forEach((byte, i) => void view.setUint8('ABCD'.indexOf(letters[i] ?? 'A'), byte))
  switch (type) {
    case 'int16':
      return view.getInt16(0)
    case 'uint16':
      return view.getUint16(0)
    case 'int32':
      return view.getInt32(0)
    case 'uint32':
      return view.getUint32(0)
    case 'float32':
      return view.getFloat32(0)
  }
}

const SWAPS_BYTES: Readonly<Record<WordOrder, 'AB' | 'BA'>> = {
  ABCD: 'AB',
  CDAB: 'AB',
  BADC: 'BA',
  DCBA: 'BA',
}
