-- Version 14: a mix that somebody left can be kept from Today for some days; and each tank's page tells of its own.
ALTER TABLE mix ADD COLUMN off_day INTEGER; -- shown on Today again from this day on; NULL: not put off
CREATE INDEX mix_open_by_tank ON mix (tank, told_ms) WHERE state = 0;
