/** What a port tells while it is open. Exactly one `closed` ends every `open`, whatever the reason. */
export interface PortListener {
  readonly data: (chunk: Uint8Array) => void
  readonly closed: (why: string) => void
}

/** One open connection to an instrument. */
export interface OpenPort {
  /** Sends to the instrument. A failure ends the connection like any other: `closed` says why. */
  write(bytes: Uint8Array): void
  close(): void
}

/**
 * A place bytes come from. `open` resolves once bytes can arrive, or rejects with a message that says
 * what to do. A port never re-opens by itself: `reconnect.ts` does that for every kind alike.
 */
export interface Port {
  readonly name: string
  open(listener: PortListener): Promise<OpenPort>
}
