CREATE TABLE meta (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE inspections (
    id TEXT PRIMARY KEY,
    vin TEXT,
    registration TEXT,
    description TEXT,
    place TEXT,
    visited_at TEXT,
    changed_at TEXT NOT NULL,
    erased_at TEXT
) STRICT, WITHOUT ROWID;
CREATE INDEX inspections_changed ON inspections (changed_at);

-- A body that was erased is null; its digest and its link stay.
CREATE TABLE entries (
    device TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq >= 1),
    inspection TEXT NOT NULL REFERENCES inspections (id),
    body TEXT,
    body_digest BLOB NOT NULL CHECK (length(body_digest) = 32),
    link BLOB NOT NULL CHECK (length(link) = 32),
    PRIMARY KEY (device, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX entries_inspection ON entries (inspection);

-- The large bytes stand apart, so that walking the list reads none of them.
CREATE TABLE photographs (
    sha256 TEXT PRIMARY KEY,
    length INTEGER NOT NULL,
    small BLOB
) STRICT, WITHOUT ROWID;
CREATE TABLE originals (
    sha256 TEXT PRIMARY KEY REFERENCES photographs (sha256) ON DELETE CASCADE,
    bytes BLOB NOT NULL
) STRICT;
CREATE TABLE shown_in (
    inspection TEXT NOT NULL REFERENCES inspections (id),
    sha256 TEXT NOT NULL REFERENCES photographs (sha256),
    PRIMARY KEY (inspection, sha256)
) STRICT, WITHOUT ROWID;
CREATE INDEX shown_in_photograph ON shown_in (sha256);

-- Keys, certificates and the device's row of records, by path.
CREATE TABLE files (
    path TEXT PRIMARY KEY,
    bytes BLOB NOT NULL
) STRICT;

CREATE TABLE reports (
    identity TEXT PRIMARY KEY,
    inspection TEXT NOT NULL REFERENCES inspections (id),
    facts TEXT NOT NULL,
    sealed_at TEXT NOT NULL,
    path TEXT NOT NULL REFERENCES files (path)
) STRICT, WITHOUT ROWID;
CREATE INDEX reports_inspection ON reports (inspection);
