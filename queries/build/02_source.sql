-- layer: source
-- makes: source.files, source.columns, source.set_aside, source.cells_set_aside, source.returned, source.unused_co
-- grain: a row a file; a row a column of a file, in the file's order; a row a line that could not be read; a row a cell that could not be read on a line that stands without it; a row a line of a file to correct that came back; a row a CO that could not be used
-- reads: nothing
-- why: where everything came from, and what was not accepted, word for word
create table source.files (
    file_key   integer not null,
    name       varchar not null,
    bytes      bigint,
    digest     varchar,
    layout     varchar,
    record     varchar,
    source     varchar,
    form       varchar,
    export_day date,
    outcome    varchar not null,
    reason     varchar,
    message    varchar,
    lines      bigint,
    header     bigint,
    blank      bigint,
    skipped    bigint,
    set_aside  bigint,
    parsed     bigint,
    joined bigint, cells_set_aside bigint
);

create table source.columns (
    file_key  integer not null,
    header    varchar,
    field     varchar,
    fire      varchar,
    condition varchar,
    unit      varchar,
    basis     varchar,
    cells bigint, cells_set_aside bigint
);

create table source.set_aside (
    file_key    integer not null,
    line        integer not null,
    column_name varchar,
    value       varchar,
    reason      varchar,
    message     varchar,
    raw         varchar,
    serial      varchar,
    day         date
);

create table source.cells_set_aside (
    file_key integer not null, line integer not null,
    column_name varchar, value varchar, reason varchar, message varchar, costs_reading boolean not null,
    fire varchar, condition varchar, serial varchar, day date
);

create table source.returned (file_key integer not null, line integer not null, of_file varchar not null, of_line integer not null);

create table source.unused_co (
    file_key        integer not null,
    line            integer not null,
    part            integer not null,
    serial          varchar,
    visit_id        varchar,
    day             date,
    fire            varchar,
    condition       varchar,
    co_text         varchar,
    co_ppm          double,
    co_limit        varchar,
    co_basis        varchar,
    co_reference_o2 double,
    o2_percent      double,
    reason          varchar,
    line_hash       ubigint
);
