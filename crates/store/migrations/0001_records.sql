-- Engines, their document versions and their log. What is written here stays as it was written:
-- the triggers refuse every change and removal, and every row that does not continue its chain.

CREATE TABLE engine (
    id      TEXT NOT NULL PRIMARY KEY,
    name    TEXT NOT NULL,
    created TEXT NOT NULL
) STRICT;

CREATE TABLE document (
    engine   TEXT    NOT NULL REFERENCES engine (id),
    version  INTEGER NOT NULL CHECK (version >= 1),
    text     TEXT    NOT NULL,
    sha256   TEXT    NOT NULL CHECK (length(sha256) = 64),
    who      TEXT    NOT NULL,
    "when"   TEXT    NOT NULL,
    based_on INTEGER,
    note     TEXT    NOT NULL,
    previous TEXT    NOT NULL CHECK (length(previous) = 64),
    hash     TEXT    NOT NULL CHECK (length(hash) = 64),
    PRIMARY KEY (engine, version)
) STRICT;

CREATE TABLE log (
    engine       TEXT    NOT NULL REFERENCES engine (id),
    sequence     INTEGER NOT NULL CHECK (sequence >= 1),
    kind         TEXT    NOT NULL,
    body         TEXT    NOT NULL,
    who          TEXT    NOT NULL,
    "when"       TEXT    NOT NULL,
    delivery_key TEXT    CHECK (delivery_key <> ''),
    previous     TEXT    NOT NULL CHECK (length(previous) = 64),
    hash         TEXT    NOT NULL CHECK (length(hash) = 64),
    PRIMARY KEY (engine, sequence)
) STRICT;

CREATE UNIQUE INDEX log_delivery_key ON log (engine, delivery_key) WHERE delivery_key IS NOT NULL;

CREATE TRIGGER engine_keeps_its_id BEFORE UPDATE ON engine
WHEN NEW.id <> OLD.id OR NEW.created <> OLD.created
BEGIN SELECT RAISE(ABORT, 'an engine keeps its id and its creation time'); END;

CREATE TRIGGER engine_is_never_deleted BEFORE DELETE ON engine
BEGIN SELECT RAISE(ABORT, 'an engine is never deleted'); END;

CREATE TRIGGER document_is_never_changed BEFORE UPDATE ON document
BEGIN SELECT RAISE(ABORT, 'a document version is never changed; save a new version'); END;

CREATE TRIGGER document_is_never_deleted BEFORE DELETE ON document
BEGIN SELECT RAISE(ABORT, 'a document version is never deleted'); END;

CREATE TRIGGER document_continues_its_chain BEFORE INSERT ON document
WHEN NEW.version <> (SELECT COALESCE(MAX(version), 0) + 1 FROM document WHERE engine = NEW.engine)
  OR COALESCE(NEW.based_on, 0) <> NEW.version - 1
  OR NEW.previous <> COALESCE(
       (SELECT hash FROM document WHERE engine = NEW.engine AND version = NEW.version - 1),
       '0000000000000000000000000000000000000000000000000000000000000000')
BEGIN SELECT RAISE(ABORT, 'a document version must continue the latest one'); END;

CREATE TRIGGER log_is_never_changed BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'a log entry is never changed; append a correction'); END;

CREATE TRIGGER log_is_never_deleted BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'a log entry is never deleted; append a correction'); END;

-- The delivery key is looked up here as well as in its index, because INSERT OR REPLACE removes the
-- row in its way without asking the delete trigger.
CREATE TRIGGER log_continues_its_chain BEFORE INSERT ON log
WHEN NEW.sequence <> (SELECT COALESCE(MAX(sequence), 0) + 1 FROM log WHERE engine = NEW.engine)
  OR NEW.previous <> COALESCE(
       (SELECT hash FROM log WHERE engine = NEW.engine AND sequence = NEW.sequence - 1),
       '0000000000000000000000000000000000000000000000000000000000000000')
  OR EXISTS (SELECT 1 FROM log WHERE engine = NEW.engine AND delivery_key = NEW.delivery_key)
BEGIN SELECT RAISE(ABORT, 'a log entry must continue the latest one, once for each delivery key'); END;
