-- Version 9: matters that people put off for some days. How the matter stood is kept with it, so that one that becomes worse is
-- seen again at once (garden/putoffs.c); lifted: shown again before its day.
CREATE TABLE putoff (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
    tank INTEGER NOT NULL REFERENCES tank,
    reason TEXT NOT NULL,
    days INTEGER NOT NULL CHECK (days BETWEEN 1 AND 14),
    from_day INTEGER NOT NULL,  -- the garden's day on which it was put off
    until_day INTEGER NOT NULL, -- shown again from this day on
    urgency REAL, value REAL, entry TEXT,
    member INTEGER REFERENCES member,
    told_ms INTEGER NOT NULL,
    lifted_ms INTEGER
) STRICT;
CREATE INDEX putoff_by_day ON putoff (until_day) WHERE lifted_ms IS NULL;
