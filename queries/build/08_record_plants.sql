-- layer: record
-- makes: record.plants
-- grain: a row a unit of a plant a file
-- reads: nothing
-- why: units that share a vent, an intake or a sequence answer for each other
create table record.plants (
    file_key     integer not null,
    line         integer not null,
    plant        varchar not null,
    site         varchar,
    serial       varchar not null,
    common       varchar,
    key_hash     ubigint,
    content_hash ubigint,
    marks        varchar
);
