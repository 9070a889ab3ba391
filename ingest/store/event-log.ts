import type { Database } from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import type { DaemonEvent, NewDaemonEvent, PortStatus } from './store.ts'

/** The daemon's own events and the present state of its ports, kept beside the readings. */
export const createEventLog = (db: Database) => {
  const add = db.prepare('INSERT INTO event (time_us, mono_ms, kind, port, detail) VALUES (?, ?, ?, ?, ?)')
  const put = db.prepare(
    `INSERT INTO status (port, time_us, detail) VALUES (?, ?, ?)
     ON CONFLICT (port) DO UPDATE SET time_us = excluded.time_us, detail = excluded.detail`,
  )

  return {
    record(event: NewDaemonEvent): void {
      add.run(event.timeUs, event.monoMs, event.kind, event.port, JSON.stringify(event.detail))
    },
    report(status: PortStatus): void {
      put.run(status.port, status.timeUs, JSON.stringify(status))
    },
    /** Ports that the wiring no longer has. */
    forgetAllBut(ports: readonly string[]): void {
      const keep = new Set(ports)
      for (const port of db.prepare('SELECT port FROM status').pluck().all() as string[])
        if (!keep.has(port)) db.prepare('DELETE FROM status WHERE port = ?').run(port)
    },
    after(id: number, limit = 1000): DaemonEvent[] {
      const rows = db
        .prepare('SELECT * FROM event WHERE id > ? ORDER BY id LIMIT ?')
        .all(id, limit) as EventRow[]
      return rows.map(eventOf)
    },
    /** The newest event of some kinds. */
    newestOf(kinds: readonly DaemonEvent['kind'][]): DaemonEvent | undefined {
      const row = db
        .prepare(
          `SELECT * FROM event WHERE kind IN (${kinds.map(() => '?').join(', ')}) ORDER BY id DESC LIMIT 1`,
        )
        .get(...kinds) as EventRow | undefined
      return row && eventOf(row)
    },
    between(from: TimeUs, to: TimeUs): DaemonEvent[] {
      const rows = db
        .prepare('SELECT * FROM event WHERE time_us >= ? AND time_us < ? ORDER BY id')
        .all(from, to) as EventRow[]
      return rows.map(eventOf)
    },
    ports(): PortStatus[] {
      const rows = db.prepare('SELECT detail FROM status ORDER BY port').pluck().all() as string[]
      return rows.map((detail) => JSON.parse(detail) as PortStatus)
    },
  }
}

export type EventLog = ReturnType<typeof createEventLog>

interface EventRow {
  id: number
  time_us: number
  mono_ms: number
  kind: DaemonEvent['kind']
  port: string | null
  detail: string
}

const eventOf = (row: EventRow): DaemonEvent => ({
  id: row.id,
  timeUs: row.time_us as TimeUs,
  monoMs: row.mono_ms,
  kind: row.kind,
  port: row.port,
  detail: JSON.parse(row.detail) as Record<string, unknown>,
})
