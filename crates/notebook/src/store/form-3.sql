-- A recording grows piece by piece while the car drives, so that a phone that dies loses seconds; its digest is known when
-- it has ended.
CREATE TABLE recordings (
    id INTEGER PRIMARY KEY,
    inspection TEXT NOT NULL REFERENCES inspections (id),
    kind TEXT NOT NULL,
    begun_at TEXT NOT NULL,
    sha256 TEXT
) STRICT;
CREATE INDEX recordings_inspection ON recordings (inspection);

-- Piece 0 is what stands before all others: a table's first line, a sound's header.
CREATE TABLE pieces (
    recording INTEGER NOT NULL REFERENCES recordings (id) ON DELETE CASCADE,
    nth INTEGER NOT NULL CHECK (nth >= 0),
    bytes BLOB NOT NULL,
    PRIMARY KEY (recording, nth)
) STRICT;
