/** A piece of the byte stream: one whole line, or bytes that cannot be one, with the reason. Nothing vanishes. */
export type Frame =
  | { readonly kind: 'line'; readonly text: string }
  | {
      readonly kind: 'discarded'
      readonly why: DiscardReason
      readonly bytes: number
      readonly sample: string
    }

export type DiscardReason =
  /** longer than the stated bound; the bytes up to the bound */
  | 'too-long'
  /** what followed in the same over-long line, up to its delimiter */
  | 'rest-of-too-long'
  /** what came before the first delimiter after opening: the line may have begun before we listened */
  | 'before-first-delimiter'
  /** an unfinished line when the port closed */
  | 'torn'
  /** bytes that are not printable text */
  | 'not-text'
  | 'checksum-missing'
  | 'checksum-wrong'
  /** a proper line, but no instrument of this port expects it */
  | 'unexpected-line'
  | 'wrong-field-count'
  | 'unreadable-number'

/** Turns chunks into frames. The same bytes give the same frames however they are cut. */
export interface Framer {
  push(chunk: Uint8Array): Frame[]
  /** The port closed: an unfinished line is given up, and the next bytes start unsynchronised again. */
  close(): Frame[]
}
