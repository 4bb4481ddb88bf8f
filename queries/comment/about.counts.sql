comment on table about.counts is 'a row a stored table and a row a later load into one: what must be found when the file is opened';
comment on column about.counts.relation is 'schema and name of a relation';
comment on column about.counts.rows is 'rows stored';
