comment on view about.schemas is 'a row a schema: the engine takes no comments on schemas';
comment on column about.schemas.schema is 'name of a schema';
comment on column about.schemas.holds is 'what it holds';
