-- layer: joined
-- makes: joined.reading_values
-- grain: a row a standing reading, in the order of unit, day, time, visit, fire and taking
-- reads: record.readings, joined.readings_in_order
-- why: stored in order, so that one unit's readings are found without reading the rest; what belongs to the visit stays there
create table joined.reading_values as
select
    placed.unit_key, placed.visit_key, placed.taken, readings.file_key, readings.line, readings.part, readings.minute,
    readings.fire, readings.rate_percent, placed.condition, placed.recorded_condition, readings.co2_percent,
    readings.o2_percent, readings.co_ppm, readings.co_basis, readings.co_reference_o2, readings.co_limit,
    readings.flue_temp_c, readings.air_temp_c, readings.air_temp_at, readings.minutes_firing, readings.supply_pa,
    readings.manifold_pa, readings.fan_speed_rpm, readings.flame_signal_ua, readings.draft_pa, readings.co2_decimals,
    readings.o2_decimals, readings.co_decimals, readings.flue_decimals, readings.air_decimals, readings.analyzer,
    readings.marks
from record.readings as readings
inner join joined.readings_in_order as placed on readings.rowid = placed.reading_row
order by placed.visit_key, placed.taken;
