-- The garden file, version 1. Run whole, in one transaction, by the store; the sqlite3 shell can run it too.
-- Lengths mm, volumes L, masses g, EC mS/cm at 25 C; *_ms are milliseconds since 1970-01-01 UTC, *_day days since then.
-- uid is the name others use (a UUID or a slug); key is ours and never leaves the file.

CREATE TABLE garden (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    uid TEXT NOT NULL,
    name TEXT NOT NULL,
    time_zone TEXT NOT NULL,                 -- IANA
    latitude_deg REAL CHECK (latitude_deg BETWEEN -90 AND 90),
    elevation_m REAL CHECK (elevation_m BETWEEN -450 AND 6000),
    place INTEGER NOT NULL,                  -- 0 open air, 1 under cover, 2 lamps
    indoor_temperature_c REAL, indoor_rh_percent REAL, indoor_ppfd_umol REAL, indoor_hours REAL,
    length_unit INTEGER NOT NULL, volume_unit INTEGER NOT NULL,
    temperature_unit INTEGER NOT NULL, mass_unit INTEGER NOT NULL,
    language INTEGER NOT NULL,
    public_url TEXT,
    label_shows INTEGER NOT NULL,
    made_ms INTEGER NOT NULL
) STRICT;

-- Climate normals of the place, one row a month.
CREATE TABLE garden_month (
    month INTEGER PRIMARY KEY CHECK (month BETWEEN 1 AND 12),
    tmin_c REAL NOT NULL, tmax_c REAL NOT NULL, rh_percent REAL, wind_m_s REAL, sunshine_h REAL
) STRICT;

-- Weather as it was.
CREATE TABLE weather (
    day INTEGER PRIMARY KEY,
    tmin_c REAL NOT NULL, tmax_c REAL NOT NULL,
    rh_percent REAL, wind_m_s REAL, sunshine_h REAL, solar_mj_m2 REAL, rain_mm REAL
) STRICT;

CREATE TABLE member (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    role INTEGER NOT NULL CHECK (role BETWEEN 2 AND 4), -- 2 visitor, 3 grower, 4 keeper
    joined_ms INTEGER NOT NULL,
    removed_ms INTEGER
) STRICT;
CREATE INDEX member_by_role ON member (role, removed_ms);

CREATE TABLE device (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    member INTEGER NOT NULL REFERENCES member,
    name TEXT NOT NULL,
    token_hash BLOB NOT NULL UNIQUE,
    paired_ms INTEGER NOT NULL,
    last_used_ms INTEGER,
    revoked_ms INTEGER
) STRICT;
CREATE INDEX device_by_member ON device (member);

CREATE TABLE invite (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    token_hash BLOB NOT NULL UNIQUE,
    member INTEGER REFERENCES member,        -- NULL: a new member
    name TEXT,
    role INTEGER NOT NULL CHECK (role BETWEEN 2 AND 4),
    made_by INTEGER REFERENCES member,       -- NULL: from the host itself
    made_ms INTEGER NOT NULL,
    expires_ms INTEGER NOT NULL,
    used_ms INTEGER,
    used_device INTEGER REFERENCES device,
    revoked_ms INTEGER
) STRICT;
CREATE INDEX invite_open ON invite (made_by) WHERE used_ms IS NULL AND revoked_ms IS NULL;

CREATE TABLE sensor (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    key_hash BLOB NOT NULL UNIQUE,
    made_ms INTEGER NOT NULL,
    last_used_ms INTEGER,
    revoked_ms INTEGER
) STRICT;

CREATE TABLE feed (                          -- an address that a calendar program may read, without a cookie
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    member INTEGER REFERENCES member,        -- whose it is; NULL: from the host itself
    key_hash BLOB NOT NULL UNIQUE,
    made_ms INTEGER NOT NULL,
    last_used_ms INTEGER,
    revoked_ms INTEGER
) STRICT;

CREATE TABLE area (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    within INTEGER REFERENCES area,
    walk_order REAL NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX area_by_within ON area (within);

CREATE TABLE vessel (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    shape INTEGER NOT NULL CHECK (shape BETWEEN 0 AND 2), -- 0 box, 1 round, 2 poured
    floor_l_mm REAL, floor_w_mm REAL, rim_l_mm REAL, rim_w_mm REAL, -- round: diameters in the l columns
    height_mm REAL NOT NULL CHECK (height_mm > 0),
    corner_mm REAL,
    lid_l_mm REAL, lid_w_mm REAL, lid_corner_mm REAL, hole_mm REAL, edge_mm REAL, spacing_mm REAL, pattern INTEGER,
    cup_height_mm REAL, cup_top_mm REAL, cup_bottom_mm REAL, cup_medium_fraction REAL,
    start_mm REAL NOT NULL CHECK (start_mm > 0),
    low_mm REAL NOT NULL CHECK (low_mm >= 0)
) STRICT;

CREATE TABLE vessel_point (                  -- poured vessels: what was poured to reach each waterline
    vessel INTEGER NOT NULL REFERENCES vessel ON DELETE CASCADE,
    place INTEGER NOT NULL,
    waterline_mm REAL NOT NULL, volume_l REAL NOT NULL,
    PRIMARY KEY (vessel, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE vessel_cup (
    vessel INTEGER NOT NULL REFERENCES vessel ON DELETE CASCADE,
    cup INTEGER NOT NULL CHECK (cup >= 1),
    x_mm REAL NOT NULL, y_mm REAL NOT NULL,
    PRIMARY KEY (vessel, cup)
) STRICT, WITHOUT ROWID;

CREATE TABLE tank (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    code TEXT NOT NULL UNIQUE,               -- short, on the label
    name TEXT NOT NULL,
    area INTEGER REFERENCES area,
    vessel INTEGER NOT NULL REFERENCES vessel,
    walk_order REAL NOT NULL DEFAULT 0,
    retired INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0, 1)),
    changed INTEGER NOT NULL DEFAULT 0       -- counts what would change its state; caches are keyed by it
) STRICT;
CREATE INDEX tank_by_area ON tank (area);
CREATE INDEX tank_by_vessel ON tank (vessel);

CREATE TABLE sensor_tank (
    sensor INTEGER NOT NULL REFERENCES sensor,
    tank INTEGER NOT NULL REFERENCES tank,
    PRIMARY KEY (sensor, tank)
) STRICT, WITHOUT ROWID;

CREATE TABLE salt (                          -- the garden's own bags, and what it noted about built-in salts
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    price_per_kg REAL,
    stock_g REAL CHECK (stock_g >= 0), stock_ms INTEGER, -- as weighed or bought then; the log says what was used since
    opened_day INTEGER, caution TEXT
) STRICT;

CREATE TABLE salt_part (                     -- the label: mass percent
    salt INTEGER NOT NULL REFERENCES salt ON DELETE CASCADE,
    part TEXT NOT NULL,
    percent REAL NOT NULL CHECK (percent BETWEEN 0 AND 100),
    PRIMARY KEY (salt, part)
) STRICT, WITHOUT ROWID;

CREATE TABLE water (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    analysed_day INTEGER,
    method INTEGER CHECK (method BETWEEN 0 AND 3), -- laboratory, supplier's report, strips, meter
    ph REAL, alkalinity_mg_caco3_l REAL, hardness_mg_caco3_l REAL, ec_ms_cm REAL,
    ca_mg_l REAL, mg_mg_l REAL, na_mg_l REAL, k_mg_l REAL, nh4_mg_l REAL,
    cl_mg_l REAL, so4_mg_l REAL, no3_mg_l REAL, po4_mg_l REAL, si_mg_l REAL, b_mg_l REAL
) STRICT;

CREATE TABLE target (
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    source TEXT
) STRICT;

CREATE TABLE target_part (
    target INTEGER NOT NULL REFERENCES target ON DELETE CASCADE,
    part TEXT NOT NULL,
    mg_l REAL NOT NULL CHECK (mg_l >= 0),
    PRIMARY KEY (target, part)
) STRICT, WITHOUT ROWID;

CREATE TABLE crop (                          -- the garden's own crops, and what it changed about built-in ones
    key INTEGER PRIMARY KEY,
    uid TEXT NOT NULL UNIQUE,
    name TEXT,                               -- NULL: as built in
    resembles TEXT,                          -- a built-in crop, whose figures stand where it has none of its own
    fitness TEXT
) STRICT;

CREATE TABLE crop_range (
    crop INTEGER NOT NULL REFERENCES crop ON DELETE CASCADE,
    quantity TEXT NOT NULL,                  -- "days", "yield_g", ...
    low REAL NOT NULL, high REAL NOT NULL,
    source TEXT,                             -- NULL: the garden's own
    PRIMARY KEY (crop, quantity),
    CHECK (low <= high)
) STRICT, WITHOUT ROWID;

-- The log: append-only. Nothing here is ever changed or deleted; corrections are entries of their own.
CREATE TABLE entry (
    id BLOB PRIMARY KEY CHECK (length(id) = 16),
    tank INTEGER NOT NULL REFERENCES tank,
    kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 6), -- fill, top-up, reading, planting, harvest, clean-out, note
    at_ms INTEGER NOT NULL,
    received_ms INTEGER NOT NULL,
    clock_off_ms INTEGER,                    -- how far the sender's clock was off, where it told
    member INTEGER REFERENCES member,
    device INTEGER REFERENCES device,
    sensor INTEGER REFERENCES sensor,
    note TEXT,
    amends BLOB REFERENCES entry,
    withdraws BLOB REFERENCES entry,
    waterline_mm REAL, volume_l REAL, ec_ms_cm REAL, ph REAL, temperature_c REAL,
    method INTEGER,                          -- dipstick, by eye, sensor
    water TEXT, target TEXT,                 -- uids as they were named then
    acid INTEGER, acid_ml REAL,
    crop TEXT, plants INTEGER, sown_day INTEGER, start INTEGER,
    how INTEGER, weight_g REAL, bunches INTEGER, kept_fraction REAL, quality INTEGER
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_by_tank ON entry (tank, at_ms, id);
CREATE INDEX entry_by_time ON entry (at_ms, id);
CREATE INDEX entry_by_amends ON entry (amends) WHERE amends IS NOT NULL;
CREATE INDEX entry_by_withdraws ON entry (withdraws) WHERE withdraws IS NOT NULL;
CREATE INDEX entry_harvests ON entry (at_ms, id) WHERE kind = 4;

CREATE TABLE entry_salt (
    entry BLOB NOT NULL REFERENCES entry,
    place INTEGER NOT NULL,
    salt TEXT NOT NULL,
    grams REAL NOT NULL CHECK (grams >= 0),
    PRIMARY KEY (entry, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_salt_by_salt ON entry_salt (salt, grams); -- what left the shelf

CREATE TABLE entry_cup (
    entry BLOB NOT NULL REFERENCES entry,
    cup INTEGER NOT NULL CHECK (cup >= 1),
    PRIMARY KEY (entry, cup)
) STRICT, WITHOUT ROWID;
