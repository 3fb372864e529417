-- A firm whose rows are kept elsewhere now: what is here is only read any more.
CREATE TABLE moved (
    firm TEXT NOT NULL,
    whither TEXT NOT NULL,
    at INTEGER NOT NULL,
    PRIMARY KEY (firm)
) STRICT, WITHOUT ROWID;
