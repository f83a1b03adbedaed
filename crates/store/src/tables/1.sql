CREATE TABLE cases (
    id         TEXT PRIMARY KEY,
    title      TEXT NOT NULL,
    head       INTEGER NOT NULL,
    hash       TEXT NOT NULL,
    changed    TEXT NOT NULL,
    changed_by TEXT NOT NULL,
    conflicts  INTEGER NOT NULL
) STRICT;

CREATE TABLE entries (
    case_id  TEXT NOT NULL REFERENCES cases (id),
    seq      INTEGER NOT NULL,
    id       TEXT NOT NULL UNIQUE,
    who      TEXT NOT NULL,
    device   TEXT NOT NULL,
    at       TEXT NOT NULL,
    received TEXT NOT NULL,
    base     INTEGER NOT NULL,
    change   TEXT NOT NULL,
    outcome  TEXT NOT NULL,
    previous TEXT NOT NULL,
    hash     TEXT NOT NULL,
    PRIMARY KEY (case_id, seq)
) STRICT;

-- Against mistakes of the program; who has the file can do anything, which the hashes then show.
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entries_are_kept BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;

-- What a case looked like after some entry, so that not all have to be read; may be deleted any time.
CREATE TABLE states (
    case_id TEXT PRIMARY KEY REFERENCES cases (id),
    head    INTEGER NOT NULL,
    state   TEXT NOT NULL
) STRICT;

CREATE TABLE photos (
    case_id  TEXT NOT NULL REFERENCES cases (id),
    sha      TEXT NOT NULL,
    received TEXT NOT NULL,
    who      TEXT NOT NULL,
    PRIMARY KEY (case_id, sha)
) STRICT;

CREATE TABLE people (
    name     TEXT PRIMARY KEY,
    role     TEXT NOT NULL,
    password TEXT NOT NULL,
    added    TEXT NOT NULL,
    gone     INTEGER NOT NULL DEFAULT 0
) STRICT;

-- Sessions and links are kept as hashes: who reads the file cannot use them.
CREATE TABLE sessions (
    hash  TEXT PRIMARY KEY,
    name  TEXT NOT NULL REFERENCES people (name),
    token TEXT NOT NULL,
    ends  INTEGER NOT NULL
) STRICT;

CREATE TABLE links (
    hash    TEXT PRIMARY KEY,
    name    TEXT NOT NULL UNIQUE,
    case_id TEXT NOT NULL REFERENCES cases (id),
    made_by TEXT NOT NULL,
    made    TEXT NOT NULL,
    ends    INTEGER NOT NULL,
    revoked TEXT
) STRICT;
