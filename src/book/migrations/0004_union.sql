-- Two books may put one fact right in different ways, and one correction may settle several
-- facts. `replaced` is a fact, or a correction that withdrew one where it shall not.
CREATE TABLE correction_of_many (
    id          BLOB NOT NULL CHECK (length(id) = 16),
    kind        TEXT NOT NULL,
    replaced    BLOB NOT NULL CHECK (length(replaced) = 16),
    replacement BLOB CHECK (length(replacement) = 16), -- NULL: withdrawn
    why         TEXT NOT NULL,
    recorded_on TEXT NOT NULL,
    by_whom     TEXT NOT NULL,
    UNIQUE (replaced, id)
) STRICT;

INSERT INTO correction_of_many (id, kind, replaced, replacement, why, recorded_on, by_whom)
    SELECT id, kind, replaced, replacement, why, recorded_on, by_whom FROM correction;
DROP TABLE correction;
ALTER TABLE correction_of_many RENAME TO correction;

CREATE INDEX correction_by_id ON correction (id);
CREATE INDEX correction_by_replacement ON correction (replacement);
