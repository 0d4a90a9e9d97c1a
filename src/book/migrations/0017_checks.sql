-- Layout 17: which methods a survey and which forms a patch may have, said without a list. For a list
-- of more than two SQLite makes a table of its own whenever a row is written, which took a third of
-- the time of writing it. Only the text of these checks changes, and nothing that is kept.
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(
    sql,
    'CHECK (method IN (''quadrats'', ''judged'', ''units'', ''units in all'', ''cover''))',
    'CHECK (method = ''quadrats'' OR method = ''judged'' OR method = ''units'' OR '
        || 'method = ''units in all'' OR method = ''cover'')'
) WHERE type = 'table' AND name = 'survey';
UPDATE sqlite_schema SET sql = replace(
    sql,
    'CHECK (form IN (''area'', ''strip'', ''disc'', ''plants''))',
    'CHECK (form = ''area'' OR form = ''strip'' OR form = ''disc'' OR form = ''plants'')'
) WHERE type = 'table' AND name = 'patch';
PRAGMA writable_schema = RESET;
