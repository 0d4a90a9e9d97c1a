-- Layout 7: recovery tests, a row for each of the two days on which squares were cut.
CREATE TABLE clipping (
    id            BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key           TEXT NOT NULL,
    happened_on   TEXT NOT NULL,
    recorded_on   TEXT NOT NULL,
    by_whom       TEXT NOT NULL,
    file          TEXT,
    place         INTEGER NOT NULL REFERENCES place (no),
    begun         TEXT, -- the day of the first cut; NULL on that day itself
    design        TEXT NOT NULL, -- `pairs` or `same squares`
    squares       INTEGER NOT NULL CHECK (squares > 0),
    square_m2     REAL NOT NULL,
    left_standing REAL NOT NULL,
    cut_g         REAL,
    cut_pieces    REAL,
    uncut_g       REAL,
    uncut_pieces  REAL,
    disturbed     INTEGER NOT NULL,
    places        TEXT NOT NULL, -- longitude and latitude, `; ` between them
    note          TEXT,
    seal          INTEGER,
    words_seal    INTEGER,
    CHECK ((cut_g IS NULL) <> (cut_pieces IS NULL)),
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX clipping_by_key ON clipping (key);

DROP VIEW fact;
CREATE VIEW fact AS
    SELECT id, 'site' AS kind, place, recorded_on FROM site
    UNION ALL SELECT id, 'zone', place, recorded_on FROM zone
    UNION ALL SELECT id, 'patch', place, recorded_on FROM patch
    UNION ALL SELECT id, 'permission', place, recorded_on FROM permission
    UNION ALL SELECT id, 'closure', place, recorded_on FROM closure
    UNION ALL SELECT id, 'override', place, recorded_on FROM override
    UNION ALL SELECT id, 'walk', place, recorded_on FROM walk
    UNION ALL SELECT id, 'survey', place, recorded_on FROM survey
    UNION ALL SELECT id, 'glance', place, recorded_on FROM glance
    UNION ALL SELECT id, 'hold', place, recorded_on FROM hold
    UNION ALL SELECT id, 'cut', place, recorded_on FROM cut
    UNION ALL SELECT id, 'clipping', place, recorded_on FROM clipping;
