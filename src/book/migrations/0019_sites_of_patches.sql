-- Layout 19: the index of a patch's number tells its site too, so that a book can be read some sites
-- at a time without reading every patch twice.
DROP INDEX patch_by_place;
CREATE INDEX patch_by_place ON patch (place, site);
