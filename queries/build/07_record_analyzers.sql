-- layer: record
-- makes: record.analyzers
-- grain: a row a calibration of an analyzer a file
-- reads: nothing
-- why: an analyzer's bias is taken to hold from one calibration to the next
create table record.analyzers (
    file_key     integer not null,
    line         integer not null,
    analyzer     varchar not null,
    calibrated   date,
    found_error  double,
    span_co2     double,
    found_co2    double,
    adjusted     varchar,
    key_hash     ubigint,
    content_hash ubigint,
    marks        varchar
);
