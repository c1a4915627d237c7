-- A computation that has not ended, one of a kind for each engine, with its finished parts (opaque JSON text) as they came. It is
-- scratch, not evidence: another one of its kind replaces it, and it is dropped when its result is kept. Exports leave it out.

CREATE TABLE unfinished (
    engine   TEXT    NOT NULL REFERENCES engine (id),
    kind     TEXT    NOT NULL,
    document INTEGER NOT NULL CHECK (document >= 0),
    sequence INTEGER NOT NULL CHECK (sequence >= 0),
    who      TEXT    NOT NULL,
    "when"   TEXT    NOT NULL,
    body     TEXT    NOT NULL,
    PRIMARY KEY (engine, kind)
) STRICT;

CREATE TABLE unfinished_part (
    engine TEXT NOT NULL,
    kind   TEXT NOT NULL,
    name   TEXT NOT NULL,
    body   TEXT NOT NULL,
    PRIMARY KEY (engine, kind, name),
    FOREIGN KEY (engine, kind) REFERENCES unfinished (engine, kind) ON DELETE CASCADE
) STRICT;
