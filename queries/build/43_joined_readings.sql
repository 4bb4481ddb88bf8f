-- layer: joined
-- makes: joined.readings
-- grain: a row a standing reading
-- reads: joined.targets, joined.unit_targets, joined.calibrations, joined.visits, joined.reading_values
-- why: readings in context: the visit, what was in force that day, and what was asked of the unit; taken counts in the order of unit, day, time, visit, fire and taking
create view joined.readings as
select
    readings.unit_key, readings.visit_key, readings.rowid as taken, readings.file_key, readings.line, readings.part, visits.day,
    coalesce(readings.minute, visits.minute) as minute, readings.fire, readings.rate_percent, readings.condition,
    readings.recorded_condition, readings.co2_percent, readings.o2_percent, readings.co_ppm, readings.co_basis,
    readings.co_reference_o2, readings.co_limit, readings.flue_temp_c, readings.air_temp_c, readings.air_temp_at,
    readings.minutes_firing, readings.supply_pa, readings.manifold_pa, readings.fan_speed_rpm,
    readings.flame_signal_ua, readings.draft_pa, readings.co2_decimals, readings.o2_decimals, readings.co_decimals,
    readings.flue_decimals, readings.air_decimals, coalesce(readings.analyzer, visits.analyzer) as analyzer,
    if(readings.analyzer is null, visits.calibrated, calibrations.calibrated) as calibrated, visits.technician,
    visits.reason, if(readings.fire = 'low', visits.adjusted_low, visits.adjusted_high) as adjusted, visits.fuel,
    visits.fuel_uncertain, visits.vent_run, visits.vent_uncertain, asked.unit_target_key, targets.target_co2,
    targets.target_o2, targets.set_rich, targets.set_lean, targets.act_rich, targets.act_lean,
    targets.origin as target_origin, visits.age_days,
    nullif(concat_ws(' ', visits.marks, readings.marks), '') as marks
from joined.reading_values as readings
inner join joined.visits as visits
    on readings.unit_key = visits.unit_key and readings.visit_key = visits.visit_key
left join joined.unit_targets as asked
    on readings.unit_key = asked.unit_key and readings.fire = asked.fire
    and coalesce(visits.fuel, '') = coalesce(asked.fuel, '') and visits.day >= asked.from_day
    and visits.day < coalesce(asked.until_day, date '9999-12-31')
left join joined.targets as targets on asked.target_key = targets.target_key
left join joined.calibrations as calibrations
    on readings.analyzer = calibrations.analyzer and visits.day >= calibrations.calibrated
    and visits.day < coalesce(calibrations.until_day, date '9999-12-31');
