-- layer: record
-- makes: record.readings
-- grain: a row a reading a file
-- reads: nothing
-- why: the gas values as exported, in canonical units, with the decimals they were written with
create table record.readings (
    visit_row       integer not null,
    file_key        integer not null,
    line            integer not null,
    part            tinyint not null,
    occurrence      smallint not null,
    minute          smallint,
    fire            record.fire not null,
    rate_percent    double,
    condition       record.condition not null,
    co2_percent     double,
    o2_percent      double,
    co_ppm          double,
    co_basis        record.co_basis,
    co_reference_o2 double,
    co_limit        record.co_limit,
    flue_temp_c     double,
    air_temp_c      double,
    air_temp_at     record.air_temp_at,
    minutes_firing  double,
    supply_pa       double,
    manifold_pa     double,
    fan_speed_rpm   double,
    flame_signal_ua double,
    draft_pa        double,
    adjusted        record.yes_no,
    analyzer        varchar,
    co2_decimals    tinyint,
    o2_decimals     tinyint,
    co_decimals     tinyint,
    flue_decimals   tinyint,
    air_decimals    tinyint,
    key_hash        ubigint,
    content_hash    ubigint,
    marks           varchar
);
