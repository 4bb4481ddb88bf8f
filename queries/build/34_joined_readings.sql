-- layer: joined
-- makes: joined.readings
-- grain: a row a standing reading, in the order of unit, day, time, visit, fire and taking
-- reads: record.readings, joined.visits, joined.unit_targets, joined.calibrations, joined.readings_in_order
-- why: readings in context; stored in order, so that one unit's are found without reading the rest
create table joined.readings as
select
    visits.unit_key, placed.visit_key, readings.file_key, readings.line, readings.part, visits.day,
    coalesce(readings.minute, visits.minute) as minute, placed.fire, readings.rate_percent, placed.taken,
    placed.condition, placed.recorded_condition, readings.co2_percent, readings.o2_percent, readings.co_ppm,
    readings.co_basis, readings.co_reference_o2, readings.co_limit, readings.flue_temp_c, readings.air_temp_c,
    readings.air_temp_at, readings.minutes_firing, readings.supply_pa, readings.manifold_pa, readings.fan_speed_rpm,
    readings.flame_signal_ua, readings.draft_pa, readings.co2_decimals, readings.o2_decimals, readings.co_decimals,
    readings.flue_decimals, readings.air_decimals, coalesce(readings.analyzer, visits.analyzer) as analyzer,
    if(readings.analyzer is null, visits.calibrated, calibrations.calibrated) as calibrated,
    visits.fuel, visits.fuel_uncertain, visits.vent_run, visits.vent_uncertain, targets.unit_target_key, visits.age_days,
    nullif(concat_ws(' ', visits.marks, readings.marks), '') as marks
from joined.readings_in_order as placed
inner join record.readings as readings on placed.reading_row = readings.rowid
inner join joined.visits as visits on placed.visit_key = visits.visit_key
left join joined.unit_targets as targets
    on visits.unit_key = targets.unit_key and placed.fire = targets.fire
    and coalesce(visits.fuel, '') = coalesce(targets.fuel, '') and visits.day >= targets.from_day
    and visits.day < coalesce(targets.until_day, date '9999-12-31')
left join joined.calibrations as calibrations
    on readings.analyzer = calibrations.analyzer and visits.day >= calibrations.calibrated
    and visits.day < coalesce(calibrations.until_day, date '9999-12-31')
order by placed.visit_key, placed.fire, readings.rate_percent, placed.taken, readings.file_key, readings.line, readings.part;
