-- Layout 2: walks, what is held for them, and who took part.

CREATE TABLE walk (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no), -- the site where it starts
    name        TEXT NOT NULL COLLATE NOCASE,
    day         TEXT NOT NULL,
    other_sites TEXT NOT NULL, -- names, `; ` between them
    parties     TEXT NOT NULL, -- adults and children, like `2+1; 3`
    wants       TEXT NOT NULL, -- like `ramsons-leaf=1500g; sour=300g`
    seed        INTEGER NOT NULL
) STRICT;

CREATE TABLE hold (
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    key         TEXT NOT NULL,
    happened_on TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    file        TEXT,
    place       INTEGER NOT NULL REFERENCES place (no),
    walk        TEXT NOT NULL COLLATE NOCASE,
    day         TEXT NOT NULL,
    most_g      REAL,
    most_pieces REAL,
    share_taken TEXT NOT NULL, -- `all`, `part` or `1 in 20`
    people      INTEGER,
    CHECK ((most_g IS NULL) <> (most_pieces IS NULL)),
    PRIMARY KEY (place, id)
) STRICT, WITHOUT ROWID;

-- What parties are called. No fact: the one table from which something may be deleted.
CREATE TABLE attendee (
    walk  TEXT NOT NULL COLLATE NOCASE,
    party INTEGER NOT NULL CHECK (party > 0), -- its number on the walk
    name  TEXT NOT NULL,
    PRIMARY KEY (walk, party)
) STRICT, WITHOUT ROWID;

ALTER TABLE cut ADD COLUMN walk TEXT;

CREATE INDEX walk_by_key ON walk (key);
CREATE INDEX walk_by_place ON walk (place);
CREATE INDEX walk_by_name ON walk (name);
CREATE INDEX hold_by_key ON hold (key);
CREATE INDEX hold_by_walk ON hold (walk);

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
    UNION ALL SELECT id, 'cut', place, recorded_on FROM cut;
