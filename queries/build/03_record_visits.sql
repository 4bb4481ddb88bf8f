-- layer: record
-- makes: record.visits
-- grain: a row a visit a file (wide form: a row a line; long form: the visit's first line in the file)
-- reads: nothing
-- why: what belongs to the visit and not to one reading of it
create table record.visits (
    visit_row      integer not null,
    file_key       integer not null,
    line           integer not null,
    visit_id       varchar,
    serial         varchar not null,
    site           varchar,
    day            date not null,
    minute         smallint,
    reason         varchar,
    technician     varchar,
    analyzer       varchar,
    adjusted       record.yes_no,
    adjusted_high  record.yes_no,
    adjusted_low   record.yes_no,
    parts          varchar,
    not_reached    varchar,
    outdoor_temp_c double,
    wide           boolean not null,
    key_hash       ubigint,
    content_hash   ubigint,
    marks          varchar
);
