-- Version 13: the weekdays on which a round is walked, of the whole garden or of an area, and planned rounds that people put off.
-- area NULL: the whole garden.
CREATE TABLE round_days (
    key INTEGER PRIMARY KEY,
    area INTEGER REFERENCES area ON DELETE CASCADE,
    weekdays INTEGER NOT NULL CHECK (weekdays BETWEEN 1 AND 127) -- bits, 1: Monday
) STRICT;
CREATE UNIQUE INDEX round_days_by_area ON round_days (ifnull(area, 0)); -- NULLs alone would not be each other's double
CREATE INDEX round_days_of_area ON round_days (area);

CREATE TABLE round_putoff (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    area INTEGER REFERENCES area ON DELETE CASCADE,
    day INTEGER NOT NULL,                    -- the round day that is meant
    days INTEGER NOT NULL CHECK (days BETWEEN 1 AND 14), -- as it was asked for, counted from the day of asking
    until_day INTEGER NOT NULL,              -- walked on this day instead
    member INTEGER REFERENCES member,
    told_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX round_putoff_by_day ON round_putoff (until_day);
CREATE INDEX round_putoff_by_area ON round_putoff (area);
CREATE INDEX round_putoff_by_member ON round_putoff (member);
