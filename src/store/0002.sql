-- What finished fills taught about a crop in this garden: how thirsty and how quick it was against what is usual (1: the same).
-- Worked out of the log when a tank is cleaned out; it can be worked out again, so nothing here need be backed up.
CREATE TABLE lesson (
    fill BLOB PRIMARY KEY REFERENCES entry,
    crop TEXT NOT NULL,
    ended_ms INTEGER NOT NULL,
    vigour REAL NOT NULL CHECK (vigour > 0),
    pace REAL NOT NULL CHECK (pace > 0),
    readings INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX lesson_by_crop ON lesson (crop, ended_ms);
