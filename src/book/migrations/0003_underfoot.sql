-- What people tread on at a patch, by its name; NULL: not said.
ALTER TABLE patch ADD COLUMN underfoot TEXT;
