-- Version 15: readings of a sensor that are being brought in from a table. They are written a slice at a time, so that others can write in
-- between, each with the import's number in its row (sensed.odd, from bit 8 on); while that number is under way nobody reads them.
CREATE TABLE sensed_import (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    last INTEGER NOT NULL,                   -- the number of the last one
    under_way INTEGER,                       -- the number of the present one; NULL: none
    spare INTEGER REFERENCES sensor          -- the sensor made for it, which nobody sees either, or one left by an import that came to nothing
) STRICT;
INSERT INTO sensed_import (one, last) VALUES (1, 0);

-- Where its rows lie, for the end of one that comes to nothing.
CREATE TABLE sensed_import_slice (
    place INTEGER PRIMARY KEY,
    tank INTEGER NOT NULL REFERENCES tank,
    from_ms INTEGER NOT NULL,
    to_ms INTEGER NOT NULL
) STRICT;
