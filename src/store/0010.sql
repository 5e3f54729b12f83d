-- Version 10: solutions that are being weighed in, so that whoever comes next at the scale carries on. Not the log: what went in is
-- logged as a fill or a top-up, whose id is the mix's.
CREATE TABLE mix (
    key INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    tank INTEGER REFERENCES tank,            -- NULL: for no tank
    kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 1), -- fill, top-up
    member INTEGER REFERENCES member,
    device INTEGER REFERENCES device,
    begun_ms INTEGER NOT NULL,
    received_ms INTEGER NOT NULL,
    told_ms INTEGER NOT NULL,                -- when somebody last said something of it
    volume_l REAL NOT NULL CHECK (volume_l > 0),
    steps INTEGER NOT NULL CHECK (steps > 0),
    sheet TEXT NOT NULL,                     -- the page's worksheet, JSON
    state INTEGER NOT NULL CHECK (state BETWEEN 0 AND 2) -- open, finished, given up
) STRICT;
CREATE INDEX mix_open ON mix (told_ms) WHERE state = 0;

CREATE TABLE mix_step (                      -- the last word on each step
    mix INTEGER NOT NULL REFERENCES mix,
    step INTEGER NOT NULL CHECK (step >= 0),
    done INTEGER NOT NULL CHECK (done BETWEEN 0 AND 1),
    grams REAL CHECK (grams >= 0),
    at_ms INTEGER NOT NULL,
    member INTEGER REFERENCES member,
    device INTEGER REFERENCES device,
    PRIMARY KEY (mix, step)
) STRICT, WITHOUT ROWID;
