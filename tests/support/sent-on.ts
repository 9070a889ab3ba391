import { existsSync } from 'node:fs'
import Database from 'better-sqlite3'

/** Last number that the other place has acknowledged, straight from an outbox: what its sender says of itself is up to a second old. */
export const acknowledgedIn = (outboxPath: string): number => {
  if (!existsSync(outboxPath)) return 0
  const outbox = new Database(outboxPath, { readonly: true })
  try {
    return Number(outbox.prepare('SELECT seq FROM sent').pluck().get() ?? 0)
  } catch {
    return 0
  } finally {
    outbox.close()
  }
}
