-- layer: record
-- makes: record.answers
-- grain: a row an answer a file
-- reads: nothing
-- why: what a person decided about a unit that stood on a list
create table record.answers (
    file_key     integer not null,
    line         integer not null,
    serial       varchar not null,
    day          date not null,
    answer       varchar not null,
    until        date,
    key_hash     ubigint,
    content_hash ubigint,
    marks        varchar
);
