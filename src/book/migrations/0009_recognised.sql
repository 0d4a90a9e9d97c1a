-- Layout 9: files that were loaded, so that one that is unchanged need not be read again.
--
-- No facts: made of the facts, trusted only while `mark` is what they say it should be, and free
-- to be deleted at any time. See `recognised.rs`.

CREATE TABLE recognised (
    file            TEXT    NOT NULL PRIMARY KEY,
    mark            BLOB    NOT NULL CHECK (length(mark) = 16),
    known           INTEGER NOT NULL, -- entries that the book has
    corrected_since INTEGER NOT NULL  -- entries that it had, and put right
) STRICT, WITHOUT ROWID;
