-- Version 8: cups. Plants are moved and lost, a planting can say that it replaces what hung there, a clean-out which steps were done.
-- Two kinds came after version 1, whose check ends at the note: they stand there as notes with their own number here, so that a log of
-- millions of rows need not be written anew.
ALTER TABLE entry ADD COLUMN later_kind INTEGER CHECK (later_kind BETWEEN 7 AND 8); -- move, loss
ALTER TABLE entry ADD COLUMN to_tank TEXT;       -- move: uid of the other tank
ALTER TABLE entry ADD COLUMN reason INTEGER;     -- loss
ALTER TABLE entry ADD COLUMN replaces INTEGER;   -- planting: what hung in the cups was taken out knowingly
ALTER TABLE entry ADD COLUMN hung_day INTEGER;   -- planting: in a cup since then, where that was earlier
ALTER TABLE entry ADD COLUMN cuts INTEGER;       -- planting: cut so often before
ALTER TABLE entry ADD COLUMN cut_day INTEGER;    -- planting: last cut then, before this entry
ALTER TABLE entry ADD COLUMN follows BLOB REFERENCES entry; -- written by the garden because of that entry at another tank
ALTER TABLE entry ADD COLUMN steps INTEGER;      -- clean-out: bits, see enum entry_step
ALTER TABLE entry ADD COLUMN went_to INTEGER;    -- clean-out: where the solution went
ALTER TABLE entry_cup ADD COLUMN to_cup INTEGER; -- move
CREATE INDEX entry_by_follows ON entry (follows) WHERE follows IS NOT NULL;
