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

-- Checks of conductivity meters against a potassium chloride standard, as they were read.
CREATE TABLE meter_check (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    meter TEXT NOT NULL,                     -- what people call it
    at_ms INTEGER NOT NULL,
    member INTEGER REFERENCES member,
    standard INTEGER NOT NULL CHECK (standard IN (0, 1)), -- 0.01, 0.1 mol/L
    reading_ms_cm REAL NOT NULL CHECK (reading_ms_cm >= 0),
    temperature_c REAL NOT NULL,
    compensated INTEGER NOT NULL CHECK (compensated IN (0, 1))
) STRICT;
CREATE INDEX meter_check_by_time ON meter_check (at_ms, key);
