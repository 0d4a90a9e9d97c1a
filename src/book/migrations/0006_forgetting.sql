-- Layout 6: a name that was forgotten stays forgotten.
--
-- Each name of a party has an id of its own, which says nothing about the name.
ALTER TABLE attendee ADD COLUMN id BLOB;
CREATE UNIQUE INDEX attendee_by_id ON attendee (id);

-- The ids of names that were forgotten or replaced, and when. Such a name is taken out of
-- whatever comes into the book later: another book, an older copy.
CREATE TABLE forgotten (
    id  BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
    day TEXT -- NULL: another name took its place
) STRICT, WITHOUT ROWID;
