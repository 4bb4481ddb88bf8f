-- layer: result
-- makes: result.analyzers
-- grain: a row a fire, analyzer and calibration period (none: the constant part)
-- reads: nothing
-- why: how much each analyzer reads above the others
create table result.analyzers (
    fire        varchar not null,
    analyzer    varchar not null,
    stand_in    boolean not null,
    period      varchar,
    calibrated  date,
    bias_points double,
    sd_points   double,
    comparisons integer,
    component   integer
);
