-- layer: about
-- makes: about.schemas
-- grain: a row a schema
-- reads: nothing
-- why: the engine takes no comments on schemas
create view about.schemas as
select words."schema", words.holds from (values
    ('source', 'the exports, file by file, and every line of them that was not accepted, word for word'),
    ('record', 'every record as exported, typed and in canonical units; several exports may state one record'),
    ('joined', 'which record stands, put in relation: what was in force on a day, and the order of each unit''s history'),
    ('result', 'what was judged and estimated of the fleet on the as-of day'),
    ('about', 'what the warehouse says of itself')
) as words ("schema", holds);
