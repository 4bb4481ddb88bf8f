-- layer: record
-- makes: rows of record.units
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.units (
    file_key, line, serial, second_id, site, area, model_line, control, firing, input_kw, installed, state, state_from,
    removed, valid_from, valid_to, altitude_m, latitude, longitude, fuel, fuel_from, plant, carry, vent_from, vent_diameter_m, vent_length_m,
    vent_rise_m, elbows_90, elbows_45, terminal, material, air_from, intake_diameter_m, intake_length_m,
    intake_elbows_90, intake_elbows_45, common_vent, key_hash, content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.serial, incoming.second_id, incoming.site, incoming.area, incoming.model_line,
    incoming.control, incoming.firing, incoming.input_kw, incoming.installed, incoming.state, incoming.state_from,
    incoming.removed, incoming.valid_from, incoming.valid_to,
    incoming.altitude_m, incoming.latitude, incoming.longitude, incoming.fuel, incoming.fuel_from, incoming.plant,
    incoming.carry, incoming.vent_from, incoming.vent_diameter_m, incoming.vent_length_m, incoming.vent_rise_m,
    incoming.elbows_90, incoming.elbows_45, incoming.terminal, incoming.material, incoming.air_from,
    incoming.intake_diameter_m, incoming.intake_length_m, incoming.intake_elbows_90, incoming.intake_elbows_45,
    incoming.common_vent, incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
