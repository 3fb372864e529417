-- What a report carries of a photograph, made when the photograph came in.
CREATE TABLE copies (
    sha256 TEXT PRIMARY KEY REFERENCES photographs (sha256) ON DELETE CASCADE,
    copy_sha256 BLOB NOT NULL CHECK (length(copy_sha256) = 32),
    bytes BLOB NOT NULL
) STRICT;

-- A condition statement belongs to no inspection.
CREATE TABLE sealed (
    identity TEXT PRIMARY KEY,
    inspection TEXT REFERENCES inspections (id),
    facts TEXT NOT NULL,
    sealed_at TEXT NOT NULL,
    path TEXT NOT NULL REFERENCES files (path)
) STRICT, WITHOUT ROWID;
INSERT INTO sealed SELECT identity, inspection, facts, sealed_at, path FROM reports;
DROP TABLE reports;
ALTER TABLE sealed RENAME TO reports;
CREATE INDEX reports_inspection ON reports (inspection);
