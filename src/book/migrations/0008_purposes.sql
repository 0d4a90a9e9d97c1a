-- What a permission is for, and what is gathered for on a walk; NULL: not said.
ALTER TABLE permission ADD COLUMN purposes TEXT;
ALTER TABLE walk ADD COLUMN purpose TEXT;
