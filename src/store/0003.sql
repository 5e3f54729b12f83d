-- Version 3: what was done to a tank, without its readings. A sensor reads once a minute; what fills cost and what harvests
-- gave rests on a few hundred deeds among half a million readings a year.
CREATE INDEX entry_deeds ON entry (tank, at_ms, id) WHERE kind <> 2;
