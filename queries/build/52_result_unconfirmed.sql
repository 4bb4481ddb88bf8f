-- layer: result
-- makes: result.unconfirmed
-- grain: a row a reading or change that the others of its stretch contradict
-- reads: nothing
-- why: what the fit left out or cut at, with its neighbours and what became of the unit
create table result.unconfirmed (
    unit_key      integer not null,
    fire          varchar not null,
    action        varchar not null,
    origin        varchar,
    day           date,
    points        double,
    before_day    date,
    before_points double,
    after_day     date,
    after_points  double,
    t             double,
    pass          integer,
    today_out     double,
    worst_out     double,
    to_verify     boolean
);
