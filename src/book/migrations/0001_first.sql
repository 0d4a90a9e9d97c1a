-- Layout 1. Never edit this file: a change of layout is a new file in the list.
--
-- A place is a site or a patch. Its number never changes, whatever later facts call it.
-- Every table of facts begins with the same columns, then has those of its own kind.
-- What was seen and done on patches is kept by patch, so that a patch's facts lie together.
-- Dates are ISO 8601 text; shapes are well-known binary in WGS84 degrees, longitude first.

CREATE TABLE place (
    no   INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('site', 'patch'))
) STRICT;

-- From `recorded_on` on, the fact `replaced` no longer counts.
CREATE TABLE correction (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    kind        TEXT NOT NULL,
    replaced    BLOB NOT NULL UNIQUE CHECK (length(replaced) = 16),
    replacement BLOB UNIQUE CHECK (length(replacement) = 16), -- NULL: withdrawn
    why         TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL
) STRICT;

CREATE TABLE site (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no),
    name        TEXT NOT NULL COLLATE NOCASE,
    occupier    TEXT,
    protected   TEXT, -- the reason why nothing may be taken
    cautions    TEXT,
    boundary    BLOB NOT NULL
) STRICT;

CREATE TABLE zone (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no),
    name        TEXT NOT NULL COLLATE NOCASE,
    buffer_m    REAL NOT NULL,
    reason      TEXT,
    shape       BLOB NOT NULL
) STRICT;

CREATE TABLE patch (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no),
    site        INTEGER NOT NULL REFERENCES place (no),
    name        TEXT NOT NULL COLLATE NOCASE,
    crop        TEXT NOT NULL,
    note        TEXT,
    form        TEXT NOT NULL CHECK (form IN ('area', 'strip', 'disc', 'plants')),
    width_m     REAL CHECK ((width_m IS NOT NULL) = (form = 'strip')),
    radius_m    REAL CHECK ((radius_m IS NOT NULL) = (form = 'disc')),
    plants      INTEGER CHECK ((plants IS NOT NULL) = (form = 'plants')),
    shape       BLOB NOT NULL
) STRICT;

CREATE TABLE permission (
    id                    BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key                   TEXT NOT NULL,
    happened_on           TEXT NOT NULL,
    recorded_on           TEXT NOT NULL,
    by_whom               TEXT NOT NULL,
    file                  TEXT,
    place                 INTEGER NOT NULL REFERENCES place (no),
    basis                 TEXT NOT NULL,
    from_day              TEXT NOT NULL,
    to_day                TEXT,
    crops                 TEXT NOT NULL, -- JSON array, empty for every crop
    methods               TEXT NOT NULL, -- JSON array, empty for any
    visit_cap_g           REAL,
    visit_cap_pieces      REAL,
    season_cap_g          REAL,
    season_cap_pieces     REAL,
    largest_party         INTEGER,
    ask_first             INTEGER NOT NULL CHECK (ask_first IN (0, 1)),
    lifts_code_cap        INTEGER NOT NULL CHECK (lifts_code_cap IN (0, 1)),
    note                  TEXT
) STRICT;

CREATE TABLE closure (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- a site, or one of its patches
    from_day    TEXT NOT NULL,
    to_day      TEXT,
    reason      TEXT NOT NULL
) STRICT;

CREATE TABLE override (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- a site, or one of its patches
    crop        TEXT NOT NULL,
    field       TEXT NOT NULL,
    value       TEXT NOT NULL,
    source      TEXT NOT NULL
) STRICT;

CREATE TABLE survey (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no),
    method      TEXT NOT NULL
                CHECK (method IN ('quadrats', 'judged', 'units', 'units in all', 'cover')),
    measured_in TEXT NOT NULL, -- what a unit is called, or the scale of cover; else empty
    placed      TEXT NOT NULL, -- `drawn`, `drawn: PLAN`, `by choice`, or empty: not said
    note        TEXT,
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

-- What the samples of a survey come to, so that a week's answer need not read the quadrats.
-- The survey's place stands here too, so that parts lie in the order of the surveys.
CREATE TABLE part (
    place      INTEGER NOT NULL REFERENCES place (no),
    survey     BLOB NOT NULL REFERENCES survey (id),
    ordinal    INTEGER NOT NULL,
    role       TEXT NOT NULL, -- what the sample is of
    name       TEXT NOT NULL, -- of the stratum; empty for a patch that was sampled as one
    area_m2    REAL,
    frame_m2   REAL,          -- with frame_m NULL: the sampling unit, if any, is a plant
    frame_m    REAL,
    n          INTEGER NOT NULL CHECK (n > 0),
    mean       REAL NOT NULL, -- grams, pieces, units, parts of the ground: as the role has it
    sd         REAL NOT NULL,
    covariance REAL,          -- of measured amounts with the eye's judgement of them
    PRIMARY KEY (place, survey, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE quadrat (
    survey      BLOB NOT NULL REFERENCES survey (id),
    part        INTEGER NOT NULL, -- its ordinal
    ordinal     INTEGER NOT NULL,
    lon         REAL,
    lat         REAL,
    accuracy_m  REAL,
    amount      REAL NOT NULL, -- for cover: the least per cent that it may be
    measured    REAL,          -- where the amount was judged by eye first
    cover_to    REAL,          -- the most per cent that cover may be
    cover_class TEXT,
    PRIMARY KEY (survey, part, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE glance (
    id              BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key             TEXT NOT NULL,
    happened_on     TEXT NOT NULL,
    recorded_on     TEXT NOT NULL,
    by_whom         TEXT NOT NULL,
    file            TEXT,
    place           INTEGER NOT NULL REFERENCES place (no),
    standing_g      REAL,
    standing_pieces REAL,
    CHECK ((standing_g IS NULL) <> (standing_pieces IS NULL)),
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE cut (
    id           BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key          TEXT NOT NULL,
    happened_on  TEXT NOT NULL,
    recorded_on  TEXT NOT NULL,
    by_whom      TEXT NOT NULL,
    file         TEXT,
    place        INTEGER NOT NULL REFERENCES place (no),
    taken_g      REAL,
    taken_pieces REAL,
    share_taken  TEXT NOT NULL, -- `all`, `part` or `1 in 20`
    people       INTEGER,
    method       TEXT,
    CHECK ((taken_g IS NULL) <> (taken_pieces IS NULL)),
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX site_by_key ON site (key);
CREATE INDEX site_by_place ON site (place);
CREATE INDEX site_by_name ON site (name);
CREATE INDEX zone_by_key ON zone (key);
CREATE INDEX zone_by_place ON zone (place, name);
CREATE INDEX patch_by_key ON patch (key);
CREATE INDEX patch_by_place ON patch (place);
CREATE INDEX patch_by_site ON patch (site, crop);
CREATE INDEX patch_by_name ON patch (name, site);
CREATE INDEX patch_by_crop ON patch (crop, place);
CREATE INDEX permission_by_key ON permission (key);
CREATE INDEX permission_by_place ON permission (place);
CREATE INDEX closure_by_key ON closure (key);
CREATE INDEX closure_by_place ON closure (place);
CREATE INDEX override_by_key ON override (key);
CREATE INDEX override_by_place ON override (place);
CREATE INDEX survey_by_key ON survey (key);
CREATE INDEX glance_by_key ON glance (key);
CREATE INDEX cut_by_key ON cut (key);

CREATE VIEW fact AS
    SELECT id, 'site' AS kind, place, recorded_on FROM site
    UNION ALL SELECT id, 'zone', place, recorded_on FROM zone
    UNION ALL SELECT id, 'patch', place, recorded_on FROM patch
    UNION ALL SELECT id, 'permission', place, recorded_on FROM permission
    UNION ALL SELECT id, 'closure', place, recorded_on FROM closure
    UNION ALL SELECT id, 'override', place, recorded_on FROM override
    UNION ALL SELECT id, 'survey', place, recorded_on FROM survey
    UNION ALL SELECT id, 'glance', place, recorded_on FROM glance
    UNION ALL SELECT id, 'cut', place, recorded_on FROM cut;
