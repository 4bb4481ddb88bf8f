-- layer: result
-- makes: result.findings
-- grain: a row a finding
-- reads: nothing
-- why: what the judgement of readings found, for lists of records and for the story of a unit
create table result.findings (
    unit_key   integer not null,
    fire       varchar,
    kind       varchar not null,
    origin     varchar,
    other_fuel varchar,
    is_open    boolean,
    words      varchar
);
