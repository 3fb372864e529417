-- Sealed reports and statements that are here whole, in the order in which they were taken.
CREATE TABLE reports (
    firm TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    identity BLOB NOT NULL CHECK (length(identity) = 32),
    sha256 BLOB NOT NULL CHECK (length(sha256) = 32),
    length INTEGER NOT NULL,
    device TEXT NOT NULL,
    taken_at INTEGER NOT NULL,
    PRIMARY KEY (firm, number)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX reports_identity ON reports (firm, identity);

-- A link that shows one thing to whoever has it; what is kept of its secret is its digest.
CREATE TABLE links (
    firm TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    secret BLOB NOT NULL CHECK (length(secret) = 32),
    shows TEXT NOT NULL,
    label TEXT NOT NULL,
    device TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    until INTEGER NOT NULL,
    closed_at INTEGER,
    opened INTEGER NOT NULL DEFAULT 0,
    opened_at INTEGER,
    PRIMARY KEY (firm, number)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX links_secret ON links (secret);

-- Letters of questions, and what was answered, each answer as it came.
CREATE TABLE letters (
    firm TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    letter TEXT NOT NULL,
    written_at INTEGER NOT NULL,
    device TEXT NOT NULL,
    PRIMARY KEY (firm, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE replies (
    firm TEXT NOT NULL,
    letter INTEGER NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    reply TEXT NOT NULL,
    came_at INTEGER NOT NULL,
    PRIMARY KEY (firm, letter, number),
    FOREIGN KEY (firm, letter) REFERENCES letters (firm, number)
) STRICT, WITHOUT ROWID;

-- Certificates that devices asked for, and what they were given.
CREATE TABLE certificates (
    firm TEXT NOT NULL,
    device TEXT NOT NULL,
    request TEXT NOT NULL,
    asked_at INTEGER NOT NULL,
    chain TEXT,
    given_at INTEGER,
    PRIMARY KEY (firm, device)
) STRICT, WITHOUT ROWID;

-- What a device may do here.
ALTER TABLE codes ADD COLUMN role TEXT NOT NULL DEFAULT 'inspector';
ALTER TABLE devices ADD COLUMN role TEXT NOT NULL DEFAULT 'inspector';
