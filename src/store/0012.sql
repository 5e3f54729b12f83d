-- Version 12: photos that people removed for good. The picture is gone from the file; its id stays, so that a phone which sends it
-- once more, having missed the first answer, does not bring it back.
CREATE TABLE photo_removed (
    id BLOB PRIMARY KEY CHECK (length(id) = 16),
    removed_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
