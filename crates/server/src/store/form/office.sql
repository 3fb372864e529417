-- A code that lets one device in, once; what is kept of it is its digest.
CREATE TABLE codes (
    firm TEXT NOT NULL,
    digest BLOB NOT NULL CHECK (length(digest) = 32),
    label TEXT NOT NULL,
    until INTEGER NOT NULL,
    tries INTEGER NOT NULL,
    PRIMARY KEY (firm, digest)
) STRICT, WITHOUT ROWID;

-- A device that was let in; what is kept of its token is its digest.
CREATE TABLE devices (
    firm TEXT NOT NULL,
    device TEXT NOT NULL,
    label TEXT NOT NULL,
    token BLOB NOT NULL CHECK (length(token) = 32),
    since INTEGER NOT NULL,
    revoked INTEGER,
    PRIMARY KEY (firm, device)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX devices_token ON devices (token);
