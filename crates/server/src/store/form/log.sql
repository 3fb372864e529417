CREATE TABLE log_entries (
    firm TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number >= 0),
    entry BLOB NOT NULL,
    PRIMARY KEY (firm, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE log_heads (
    firm TEXT NOT NULL,
    size INTEGER NOT NULL,
    head TEXT NOT NULL,
    PRIMARY KEY (firm, size)
) STRICT, WITHOUT ROWID;
