-- layer: result
-- makes: result.shifts
-- grain: a row a fire, event (installation, re-routing) and covariate
-- reads: nothing
-- why: what moved between the factory's bench and the place, and where a vent was altered, by own fits
create table result.shifts (
    fire         varchar not null,
    event        varchar not null,
    name         varchar not null,
    unit         varchar,
    value        double,
    se           double,
    low          double,
    high         double,
    dropped      varchar,
    events       integer not null,
    units        integer not null,
    sigma_points double,
    ended        varchar not null
);
