comment on view about.rows is 'a row a stored table: a database that lost its log opens without a word, with rows missing';
comment on column about.rows.relation is 'schema and name of a relation';
comment on column about.rows.rows is 'rows stored';
