-- Version 5: whose a tank or an area is for a while, and rounds. What was told for a stop is kept as it was told, for people weigh
-- by it before they set out; what they did on a round is a list of acts that only grows. Whether a stop is done is the log's to say.
CREATE TABLE duty (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    member INTEGER NOT NULL REFERENCES member,
    tank INTEGER REFERENCES tank,
    area INTEGER REFERENCES area ON DELETE CASCADE,
    from_day INTEGER NOT NULL,
    to_day INTEGER NOT NULL,
    given_back_ms INTEGER,
    CHECK ((tank IS NULL) <> (area IS NULL)),
    CHECK (from_day <= to_day)
) STRICT;
CREATE INDEX duty_by_end ON duty (to_day) WHERE given_back_ms IS NULL;
CREATE INDEX duty_by_area ON duty (area);

CREATE TABLE round (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    day INTEGER NOT NULL,
    area INTEGER REFERENCES area ON DELETE SET NULL,
    area_name TEXT,                          -- as it was called then; NULL: the whole garden
    made_ms INTEGER NOT NULL,
    member INTEGER REFERENCES member         -- NULL: from the host itself
) STRICT;
CREATE INDEX round_by_time ON round (made_ms);
CREATE INDEX round_by_area ON round (area);

CREATE TABLE round_stop (
    round INTEGER NOT NULL REFERENCES round,
    place INTEGER NOT NULL CHECK (place >= 1),
    tank INTEGER NOT NULL REFERENCES tank,
    reason TEXT NOT NULL,
    act INTEGER NOT NULL,                    -- the kind of entry that settles it
    also INTEGER NOT NULL,                   -- further kinds of entry that are due, 1 << kind
    when_p10 INTEGER, when_p50 INTEGER, when_p90 INTEGER,
    days REAL, value REAL, low REAL, high REAL, crop TEXT,
    litres REAL, to_mm REAL, share REAL, strength TEXT,
    grams_known INTEGER NOT NULL,
    acid_ml REAL,
    cautions INTEGER NOT NULL,               -- 1 << enum topup_caution
    PRIMARY KEY (round, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE round_salt (
    round INTEGER NOT NULL REFERENCES round,
    place INTEGER NOT NULL,
    salt TEXT NOT NULL,
    grams REAL NOT NULL CHECK (grams >= 0),
    PRIMARY KEY (round, place, salt)
) STRICT, WITHOUT ROWID;

CREATE TABLE round_act (
    round INTEGER NOT NULL REFERENCES round,
    seq INTEGER NOT NULL,
    uid TEXT NOT NULL,
    what INTEGER NOT NULL CHECK (what BETWEEN 0 AND 4), -- take, skip, done, free, end
    place INTEGER NOT NULL,                  -- 0: the whole round
    at_ms INTEGER NOT NULL,
    member INTEGER REFERENCES member,
    PRIMARY KEY (round, seq),
    UNIQUE (round, uid, place)
) STRICT, WITHOUT ROWID;
