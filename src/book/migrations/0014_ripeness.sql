-- Layout 14: how much of a crop was ripe when it was surveyed, or seen.
ALTER TABLE survey ADD COLUMN ripe TEXT;
ALTER TABLE visit ADD COLUMN ripe TEXT;
