-- Layout 13: landmarks, and what each site's emergency card says.
CREATE TABLE landmark (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- the site
    name        TEXT NOT NULL,
    what        TEXT NOT NULL,
    shape       BLOB NOT NULL,
    note        TEXT,
    seal        INTEGER,
    words_seal  INTEGER,
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX landmark_by_key ON landmark (key);

CREATE TABLE emergency (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- the site
    emergency_number TEXT,
    poison_line      TEXT,
    occupier_phone   TEXT,
    vehicle_way_in   TEXT,
    hospital         TEXT,
    tide_station     TEXT,
    note             TEXT,
    seal             INTEGER,
    words_seal       INTEGER,
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX emergency_by_key ON emergency (key);

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
    UNION ALL SELECT id, 'clipping', place, recorded_on FROM clipping
    UNION ALL SELECT id, 'visit', place, recorded_on FROM visit
    UNION ALL SELECT id, 'redraw', place, recorded_on FROM redraw
    UNION ALL SELECT id, 'landmark', place, recorded_on FROM landmark
    UNION ALL SELECT id, 'emergency', place, recorded_on FROM emergency;
