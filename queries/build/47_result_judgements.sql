-- layer: result
-- makes: result.judgements
-- grain: a row a reading that is not simply used
-- reads: nothing
-- why: what each reading is good for; a reading without a row is used
create table result.judgements (
    unit_key  integer not null,
    origin    varchar not null,
    fire      varchar not null,
    condition varchar not null,
    use       varchar not null
);
