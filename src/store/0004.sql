-- Version 4.
-- Readings of sensors, packed: one row of some 30 bytes and no index but the table itself. A reading is known by its tank, its moment
-- and its sensor; nothing is ever taken out. Tenths of a mm, thousandths of mS/cm, hundredths of pH and of a degree.
CREATE TABLE sensed (
    tank INTEGER NOT NULL REFERENCES tank,
    at_ms INTEGER NOT NULL,                  -- by the sensor's own clock
    sensor INTEGER NOT NULL REFERENCES sensor,
    again INTEGER NOT NULL,                  -- 1, 2, ...: other values told for a moment that is here already
    late_s INTEGER NOT NULL,                 -- received so long after it
    odd INTEGER NOT NULL,                    -- what speaks against it, bits of enum sensed_odd; 0: nothing
    waterline INTEGER, ec INTEGER, ph INTEGER, temperature INTEGER,
    PRIMARY KEY (tank, at_ms, sensor, again)
) STRICT, WITHOUT ROWID;

-- Stretches of time in which people do not believe a sensor: it fell out, it was cleaned. The readings stay.
CREATE TABLE doubt (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    tank INTEGER NOT NULL REFERENCES tank,
    sensor INTEGER REFERENCES sensor,        -- NULL: any at this tank
    from_ms INTEGER NOT NULL,
    to_ms INTEGER NOT NULL CHECK (to_ms >= from_ms),
    why TEXT,
    member INTEGER REFERENCES member,
    told_ms INTEGER NOT NULL,
    lifted_ms INTEGER                        -- believed again since then
) STRICT;
CREATE INDEX doubt_by_tank ON doubt (tank, from_ms);

-- How each tank stood when it was last worked out, for the first look after a start and while a new day is worked out. Made from the
-- log, it can be made again: what cannot be read or is out of date is left aside.
CREATE TABLE standing (
    tank INTEGER PRIMARY KEY REFERENCES tank,
    changed INTEGER NOT NULL,                -- the tank's counter then
    day INTEGER NOT NULL,                    -- the garden's day then
    made BLOB NOT NULL                       -- garden/standing_pack.c
) STRICT;

-- Where the history that still matters to a tank begins.
CREATE INDEX entry_clean_outs ON entry (tank, at_ms, id) WHERE kind = 5;
