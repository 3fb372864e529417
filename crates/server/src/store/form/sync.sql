-- Names a firm's count of entries: another one begins where a store is begun anew.
CREATE TABLE counts (
    firm TEXT PRIMARY KEY,
    epoch TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- What devices wrote, in the order in which it was taken.
CREATE TABLE entries (
    firm TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    device TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq > 0),
    inspection TEXT NOT NULL,
    digest BLOB NOT NULL CHECK (length(digest) = 32),
    link BLOB NOT NULL CHECK (length(link) = 32),
    body TEXT,
    taken_at INTEGER NOT NULL,
    PRIMARY KEY (firm, number)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX entries_row ON entries (firm, device, seq);

-- An entry that came under a name that another entry has: kept as it came.
CREATE TABLE forks (
    firm TEXT NOT NULL,
    device TEXT NOT NULL,
    seq INTEGER NOT NULL,
    digest BLOB NOT NULL,
    entry TEXT NOT NULL,
    came_at INTEGER NOT NULL,
    PRIMARY KEY (firm, device, seq, digest)
) STRICT, WITHOUT ROWID;

-- What a device's entries speak of and the office lacks.
CREATE TABLE wanted (
    firm TEXT NOT NULL,
    device TEXT NOT NULL,
    sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
    PRIMARY KEY (firm, device, sha256)
) STRICT, WITHOUT ROWID;

-- Photographs and recordings that are here whole.
CREATE TABLE blobs (
    firm TEXT NOT NULL,
    sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
    length INTEGER NOT NULL,
    PRIMARY KEY (firm, sha256)
) STRICT, WITHOUT ROWID;
