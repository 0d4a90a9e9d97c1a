-- Layout 15: of a part whose quadrats have nothing but an amount each, all of them in one row, and
-- none in `quadrat`. They lie in the order of their parts.
CREATE TABLE amounts (
    place   INTEGER NOT NULL,
    survey  BLOB NOT NULL,
    part    INTEGER NOT NULL, -- its ordinal
    amounts BLOB NOT NULL CHECK (length(amounts) % 8 = 0), -- IEEE 754 doubles, least byte first
    PRIMARY KEY (place, survey, part),
    FOREIGN KEY (place, survey, part) REFERENCES part (place, survey, ordinal)
) STRICT, WITHOUT ROWID;
