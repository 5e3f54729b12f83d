-- Version 7: photos of what an entry tells. The picture is the last column: a list reads the columns before it and never the
-- pages it fills. tank and kind are the entry's own, which never change, so that a list needs no join to find its rows.
CREATE TABLE photo (
    key INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    entry BLOB NOT NULL REFERENCES entry,
    tank INTEGER NOT NULL REFERENCES tank,
    kind INTEGER NOT NULL,
    member INTEGER REFERENCES member,
    device INTEGER REFERENCES device,
    received_ms INTEGER NOT NULL,
    width_px INTEGER NOT NULL, height_px INTEGER NOT NULL,
    jpeg BLOB NOT NULL CHECK (length(jpeg) BETWEEN 1 AND 500000) -- without Exif and the like (format/jpeg.h)
) STRICT;
CREATE INDEX photo_by_entry ON photo (entry);
CREATE INDEX photo_by_tank ON photo (tank);
CREATE INDEX photo_by_kind ON photo (kind);
