-- layer: result
-- makes: result.predictions
-- grain: a row a unit and fire
-- reads: nothing
-- why: what the CO2 of a unit is expected to be, how surely, and what that is made of
create table result.predictions (
    unit_key                integer not null,
    fire                    varchar not null,
    target_co2_percent      double,
    act_rich_points         double,
    act_lean_points         double,
    co2_percent             double,
    low_percent             double,
    high_percent            double,
    recorded_low_percent    double,
    recorded_high_percent   double,
    today_rich              double,
    today_lean              double,
    planned_day             date,
    planned_rich            double,
    planned_lean            double,
    worst_day               date,
    worst_rich              double,
    worst_lean              double,
    outside                 varchar,
    outside_from            date,
    outside_to              date,
    parts                   struct(kind varchar, points double)[],
    verify_day              date,
    verify_read_percent     double,
    verify_expected_percent double,
    verify_mistake          double,
    verify_out              double,
    suspect_analyzer        varchar,
    suspect_points          double,
    suspect_verdict         varchar,
    marks                   struct(kind varchar, points double, day date)[],
    path                    struct(day date, co2_percent double, low_percent double, high_percent double)[],
    harm                    struct(day date, rich double, lean double, rich_beyond double, lean_beyond double,
        visited_rich double, visited_lean double, visited_rich_beyond double, visited_lean_beyond double)[],
    aim_points              double,
    aim_gain_days           double
);
