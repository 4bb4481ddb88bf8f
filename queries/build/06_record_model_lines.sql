-- layer: record
-- makes: record.model_lines
-- grain: a row a target line a file (file_key -1: an entry of the configuration)
-- reads: nothing
-- why: what units of one model line are set to, from a day on
create table record.model_lines (
    file_key           integer not null,
    line               integer not null,
    serial             varchar,
    model_line         varchar,
    fuel               varchar,
    fire               record.fire,
    valid_from         date,
    target_co2         double,
    target_o2          double,
    set_rich           double,
    set_lean           double,
    act_rich           double,
    act_lean           double,
    longest_run_m      double,
    fan_pa             double,
    factory_run_m      double,
    factory_gas        varchar,
    factory_altitude_m double,
    key_hash           ubigint,
    content_hash       ubigint,
    marks              varchar
);
