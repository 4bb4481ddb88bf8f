-- layer: result
-- makes: result.fits
-- grain: a row a fire
-- reads: nothing
-- why: how the fit of the fleet ended
create table result.fits (
    fire         varchar not null,
    how          varchar not null,
    ended        varchar,
    sigma_points double,
    ratio_q      double,
    ratio_tau    double,
    ratio_b1     double,
    ratio_b2     double,
    crit         double,
    units        integer,
    segments     integer,
    readings     integer,
    differences  integer,
    unconfirmed  integer,
    notes        varchar[]
);
