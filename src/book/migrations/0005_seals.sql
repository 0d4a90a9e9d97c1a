-- Layout 5: a book that can prove itself.
--
-- Two checksums of each row that answers rest on: `seal` over the columns that bear on a
-- limit, `words_seal` over the words. The program fills them in, here and when it appends.

ALTER TABLE site ADD COLUMN seal INTEGER;
ALTER TABLE site ADD COLUMN words_seal INTEGER;
ALTER TABLE zone ADD COLUMN seal INTEGER;
ALTER TABLE zone ADD COLUMN words_seal INTEGER;
ALTER TABLE patch ADD COLUMN seal INTEGER;
ALTER TABLE patch ADD COLUMN words_seal INTEGER;
ALTER TABLE permission ADD COLUMN seal INTEGER;
ALTER TABLE permission ADD COLUMN words_seal INTEGER;
ALTER TABLE closure ADD COLUMN seal INTEGER;
ALTER TABLE closure ADD COLUMN words_seal INTEGER;
ALTER TABLE override ADD COLUMN seal INTEGER;
ALTER TABLE override ADD COLUMN words_seal INTEGER;
ALTER TABLE walk ADD COLUMN seal INTEGER;
ALTER TABLE walk ADD COLUMN words_seal INTEGER;
ALTER TABLE survey ADD COLUMN seal INTEGER;
ALTER TABLE survey ADD COLUMN words_seal INTEGER;
ALTER TABLE glance ADD COLUMN seal INTEGER;
ALTER TABLE glance ADD COLUMN words_seal INTEGER;
ALTER TABLE hold ADD COLUMN seal INTEGER;
ALTER TABLE hold ADD COLUMN words_seal INTEGER;
ALTER TABLE cut ADD COLUMN seal INTEGER;
ALTER TABLE cut ADD COLUMN words_seal INTEGER;

ALTER TABLE part ADD COLUMN quadrats INTEGER; -- the sum of the checksums of its quadrats
ALTER TABLE part ADD COLUMN seal INTEGER;
ALTER TABLE part ADD COLUMN words_seal INTEGER;

ALTER TABLE correction ADD COLUMN place INTEGER; -- that of the fact it is of; 0 for none
ALTER TABLE correction ADD COLUMN seal INTEGER;
ALTER TABLE correction ADD COLUMN words_seal INTEGER;

-- How many rows there are of something, and the sum of their checksums, so that one that is
-- lost is missed. By topic, with its subject:
--   place: all that is about a place and all corrections of it, by the place's number;
--   seen:  the surveys and glances of a patch, by its number;
--   on:    the patches that were ever on a site, by its number; 0 for the sites of the book;
--   crop:  the patches that ever bore a crop, by its name.
CREATE TABLE tally (
    topic   TEXT NOT NULL,
    subject ANY NOT NULL,
    rows    INTEGER NOT NULL,
    digest  INTEGER NOT NULL,
    PRIMARY KEY (topic, subject)
) STRICT, WITHOUT ROWID;
