/** Schema of `ledger.db`. Forward only: a step is added at the end and never changed. */
export const LEDGER_MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE entry (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    happened_at TEXT NOT NULL, entered_at TEXT NOT NULL,
    bench TEXT, batch TEXT,
    who TEXT NOT NULL, why TEXT,
    kind TEXT NOT NULL, data TEXT NOT NULL,
    prev TEXT NOT NULL, hash TEXT NOT NULL
  );
  CREATE INDEX entry_batch ON entry (batch, seq);
  CREATE INDEX entry_kind ON entry (kind, seq);
  CREATE TRIGGER entry_kept BEFORE DELETE ON entry BEGIN SELECT raise(ABORT, 'ledger entries are never deleted'); END;
  CREATE TRIGGER entry_fixed BEFORE UPDATE ON entry BEGIN SELECT raise(ABORT, 'ledger entries are never changed'); END;
  CREATE TABLE daemon_seen (one INTEGER PRIMARY KEY CHECK (one = 1), event INTEGER NOT NULL);
  `,
  `
  CREATE INDEX entry_unsigned ON entry (seq) WHERE json_extract(who, '$.how') = 'unsigned';
  `,
]
