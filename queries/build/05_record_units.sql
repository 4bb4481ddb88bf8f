-- layer: record
-- makes: record.units
-- grain: a row a line of the unit register a file
-- reads: nothing
-- why: what the register said of a unit on the day of each export
create table record.units (
    file_key          integer not null,
    line              integer not null,
    serial            varchar not null,
    site              varchar,
    area              varchar,
    model_line        varchar,
    control           varchar,
    firing            varchar,
    input_kw          double,
    installed         date,
    state             varchar,
    state_from        date,
    altitude_m        double,
    latitude          double,
    longitude         double,
    fuel              varchar,
    fuel_from         date,
    plant             varchar,
    carry             varchar,
    vent_from         date,
    vent_diameter_m   double,
    vent_length_m     double,
    vent_rise_m       double,
    elbows_90         integer,
    elbows_45         integer,
    terminal          varchar,
    material          varchar,
    air_from          varchar,
    intake_diameter_m double,
    intake_length_m   double,
    intake_elbows_90  integer,
    intake_elbows_45  integer,
    common_vent       varchar,
    key_hash          ubigint,
    content_hash      ubigint,
    marks             varchar
);
