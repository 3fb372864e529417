-- A report may come before its inspection, or without it, when a colleague sealed it: it refers to none that has to be here.
-- Beside it stands whether a log's receipt is in it, and whether the office has it.
CREATE TABLE sealed (
    identity TEXT PRIMARY KEY,
    inspection TEXT,
    facts TEXT NOT NULL,
    sealed_at TEXT NOT NULL,
    path TEXT NOT NULL REFERENCES files (path),
    is_receipted INTEGER NOT NULL DEFAULT 0,
    is_told INTEGER NOT NULL DEFAULT 0
) STRICT, WITHOUT ROWID;
INSERT INTO sealed (identity, inspection, facts, sealed_at, path)
SELECT identity, inspection, facts, sealed_at, path FROM reports;
DROP TABLE reports;
ALTER TABLE sealed RENAME TO reports;
CREATE INDEX reports_inspection ON reports (inspection);
