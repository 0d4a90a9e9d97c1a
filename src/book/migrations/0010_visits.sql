-- Layout 10: visits, a row for each time somebody came to look, or asked.
CREATE TABLE visit (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- a site, or one of its patches
    stage       TEXT,
    trouble     TEXT NOT NULL, -- `; ` between them
    over        TEXT NOT NULL, -- the same
    look_alike  TEXT,
    cleared     TEXT,
    nesting     TEXT,
    asked       TEXT, -- `yes` or `no`
    asked_of    TEXT,
    asked_for   TEXT, -- the day; NULL for the day of the visit
    weather     TEXT,
    tide        TEXT,
    ground      TEXT,
    photo       TEXT, -- its file, day, size and checksum
    note        TEXT,
    seal        INTEGER,
    words_seal  INTEGER,
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX visit_by_key ON visit (key);

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
    UNION ALL SELECT id, 'visit', place, recorded_on FROM visit;
