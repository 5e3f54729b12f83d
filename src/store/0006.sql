-- Version 6: what harvest records need besides the log: the power of lamps, and whether members may be told apart;
-- and for which stage of growth a target is meant.
ALTER TABLE garden ADD COLUMN lamp_w REAL CHECK (lamp_w >= 0);     -- over each tank that tells none of its own
ALTER TABLE garden ADD COLUMN records_members INTEGER NOT NULL DEFAULT 0 CHECK (records_members IN (0, 1));
ALTER TABLE tank ADD COLUMN lamp_w REAL CHECK (lamp_w >= 0);
ALTER TABLE target ADD COLUMN stage INTEGER CHECK (stage BETWEEN 0 AND 2); -- seedling, growing, finishing; NULL: any
