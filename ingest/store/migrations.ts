import type { Database } from 'better-sqlite3'
import { IngestError } from '../errors.ts'
import { CHANNELS, QUALITIES } from '../reading/reading.ts'

/**
 * Schema of `readings.db`. Forward only: a step is added at the end and never changed. `user_version` counts
 * the steps taken; a file with more steps than this program knows is refused.
 */
export const READINGS_MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE boot (id INTEGER PRIMARY KEY, boot_id TEXT NOT NULL UNIQUE);
  CREATE TABLE quality (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
  INSERT INTO quality (id, name) VALUES ${QUALITIES.map((q, i) => `(${i}, '${q}')`).join(', ')};
  CREATE TABLE series (
    id INTEGER PRIMARY KEY,
    site TEXT NOT NULL, bench TEXT NOT NULL, instrument TEXT NOT NULL,
    channel TEXT NOT NULL CHECK (channel IN (${CHANNELS.map((c) => `'${c}'`).join(', ')})),
    unit TEXT NOT NULL, port TEXT NOT NULL, full_scale REAL, interval_s REAL NOT NULL, wired INTEGER NOT NULL,
    UNIQUE (bench, instrument, channel)
  );
  CREATE TABLE reading (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    series INTEGER NOT NULL REFERENCES series (id),
    time_us INTEGER NOT NULL,
    boot INTEGER NOT NULL REFERENCES boot (id),
    mono_ms REAL NOT NULL,
    raw REAL, value REAL,
    quality INTEGER NOT NULL REFERENCES quality (id),
    moved_us INTEGER NOT NULL DEFAULT 0
  );
  CREATE UNIQUE INDEX reading_identity ON reading (series, time_us);
  CREATE TABLE event (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    time_us INTEGER NOT NULL, mono_ms REAL NOT NULL, kind TEXT NOT NULL, port TEXT, detail TEXT NOT NULL
  );
  CREATE TABLE status (port TEXT PRIMARY KEY, time_us INTEGER NOT NULL, detail TEXT NOT NULL);
  CREATE VIEW reading_plain AS
    SELECT r.seq, s.site, s.bench, s.instrument, s.channel, s.unit, r.time_us,
           strftime('%Y-%m-%dT%H:%M:%f', r.time_us / 1000000.0, 'unixepoch') || 'Z' AS time_utc,
           b.boot_id, r.mono_ms, r.raw, r.value, q.name AS quality, r.moved_us
    FROM reading r JOIN series s ON s.id = r.series JOIN boot b ON b.id = r.boot JOIN quality q ON q.id = r.quality;
  `,
  `
  CREATE TABLE roll_up_minute (
    series INTEGER NOT NULL REFERENCES series (id), unit INTEGER NOT NULL,
    least REAL, greatest REAL, sum REAL NOT NULL, count INTEGER NOT NULL, not_good INTEGER NOT NULL,
    PRIMARY KEY (series, unit)
  ) WITHOUT ROWID;
  CREATE TABLE roll_up_hour (
    series INTEGER NOT NULL REFERENCES series (id), unit INTEGER NOT NULL,
    least REAL, greatest REAL, sum REAL NOT NULL, count INTEGER NOT NULL, not_good INTEGER NOT NULL,
    PRIMARY KEY (series, unit)
  ) WITHOUT ROWID;
  CREATE TABLE rolled_up (only_row INTEGER PRIMARY KEY CHECK (only_row = 1), seq INTEGER NOT NULL, rows INTEGER NOT NULL);
  INSERT INTO rolled_up (only_row, seq, rows) VALUES (1, 0, 0);
  CREATE TABLE pruned (series INTEGER PRIMARY KEY REFERENCES series (id), before_us INTEGER NOT NULL);
  `,
]

export interface MigrationPlan {
  readonly steps: readonly string[]
  /** Called before a file that already holds data is changed. */
  readonly backUp: (fromVersion: number) => void
  readonly fileName: string
}

/** Brings a file to the newest schema inside one transaction per step. */
export const migrate = (db: Database, plan: MigrationPlan): void => {
  const versionOf = () => Number(db.pragma('user_version', { simple: true }))
  const found = versionOf()
  if (found > plan.steps.length) {
    throw new IngestError(
      'store-newer',
      `${plan.fileName} was written by a newer program (schema ${found}, this one knows ${plan.steps.length}): upgrade the program, or restore an older back-up`,
      { found, known: plan.steps.length },
    )
  }
  if (found > 0 && found < plan.steps.length) plan.backUp(found)
  for (let version = found; version < plan.steps.length; version++) {
    db.transaction(() => {
      // another process may have taken the step while this one waited for the lock
      if (versionOf() > version) return
      db.exec(plan.steps[version] ?? '')
      db.pragma(`user_version = ${version + 1}`)
    }).immediate()
  }
}
