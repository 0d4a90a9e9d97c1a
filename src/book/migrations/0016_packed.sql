-- Layout 16: what was seen, promised and done on a patch once more, in one row, so that an answer
-- about every patch need not read every fact.
--
-- Made of the facts and never believed past them: a row counts only while the count of its place
-- is what it was when the row was written. Whoever deletes it loses nothing but time.
CREATE TABLE packed (
    place     INTEGER PRIMARY KEY,
    form      INTEGER NOT NULL, -- the checksum of the names of the columns that are packed
    of_rows   INTEGER NOT NULL, -- the count of the place then,
    of_digest INTEGER NOT NULL, -- as `tally` kept it
    rows      INTEGER NOT NULL, -- the count of what is packed
    digest    INTEGER NOT NULL,
    facts     BLOB NOT NULL,
    seal      INTEGER NOT NULL
) STRICT;
