-- What a computation gave for an engine (opaque JSON text), with the document version and the end of the log that it was
-- made from. Kept as it was made: a later result never replaces an earlier one.

CREATE TABLE result (
    engine   TEXT    NOT NULL REFERENCES engine (id),
    number   INTEGER NOT NULL CHECK (number >= 1),
    kind     TEXT    NOT NULL,
    document INTEGER NOT NULL CHECK (document >= 0),
    sequence INTEGER NOT NULL CHECK (sequence >= 0),
    who      TEXT    NOT NULL,
    "when"   TEXT    NOT NULL,
    sha256   TEXT    NOT NULL CHECK (length(sha256) = 64),
    body     TEXT    NOT NULL,
    PRIMARY KEY (engine, number)
) STRICT;

CREATE TRIGGER result_is_never_changed BEFORE UPDATE ON result
BEGIN SELECT RAISE(ABORT, 'a result is never changed; keep another one'); END;

CREATE TRIGGER result_is_never_deleted BEFORE DELETE ON result
BEGIN SELECT RAISE(ABORT, 'a result is never deleted'); END;

CREATE TRIGGER result_follows_the_latest BEFORE INSERT ON result
WHEN NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM result WHERE engine = NEW.engine)
BEGIN SELECT RAISE(ABORT, 'a result takes the next number'); END;
