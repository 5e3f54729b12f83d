-- Version 11: successions that people keep: the wish as it was told, and the steps as they were planned then. What was done since is
-- the log's to say.
CREATE TABLE succession (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    crop TEXT NOT NULL,
    plants INTEGER NOT NULL CHECK (plants >= 1),
    every_days INTEGER NOT NULL CHECK (every_days >= 1),
    first_day INTEGER NOT NULL,
    last_day INTEGER NOT NULL,
    seedling_days INTEGER NOT NULL,
    topup_days INTEGER NOT NULL,
    made_ms INTEGER NOT NULL,
    member INTEGER REFERENCES member,
    ended INTEGER NOT NULL DEFAULT 0 CHECK (ended IN (0, 1))
) STRICT;
CREATE INDEX succession_by_member ON succession (member);

CREATE TABLE succession_tank (
    succession INTEGER NOT NULL REFERENCES succession,
    tank INTEGER NOT NULL REFERENCES tank,
    PRIMARY KEY (succession, tank)
) STRICT, WITHOUT ROWID;
CREATE INDEX succession_tank_by_tank ON succession_tank (tank);

CREATE TABLE succession_step (
    succession INTEGER NOT NULL REFERENCES succession,
    place INTEGER NOT NULL,
    plant_day INTEGER NOT NULL,
    harvest_day INTEGER NOT NULL,
    plants INTEGER NOT NULL CHECK (plants >= 1),
    PRIMARY KEY (succession, place)
) STRICT, WITHOUT ROWID;
