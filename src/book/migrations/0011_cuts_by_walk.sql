-- Finds what was cut on a walk without a look at every cut; few cuts are of walks.
CREATE INDEX cut_by_walk ON cut (walk COLLATE NOCASE) WHERE walk NOTNULL;
