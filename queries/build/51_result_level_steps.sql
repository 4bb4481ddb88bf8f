-- layer: result
-- makes: result.level_steps
-- grain: a row a fire and area ("*": the whole fleet) with a step suspected
-- reads: nothing
-- why: where the levels of an area moved together, for somebody to know the reason
create table result.level_steps (
    fire        varchar not null,
    area        varchar not null,
    day         date not null,
    points      double,
    se_points   double,
    z           double,
    comparisons integer,
    kept_share  double,
    words       varchar
);
