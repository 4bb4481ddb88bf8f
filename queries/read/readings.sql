-- layer: read
-- makes: readings in context
-- grain: a row a standing reading
-- reads: joined.readings
-- why: a unit's history, oldest first; the stored order lets the engine skip the other units
select
    unit_key, visit_key, file_key, line, part, day, minute, fire::varchar as fire, condition::varchar as condition,
    recorded_condition::varchar as recorded_condition, rate_percent, co2_percent, o2_percent, co_ppm,
    co_basis::varchar as co_basis, co_reference_o2, co_limit::varchar as co_limit, flue_temp_c, air_temp_c,
    air_temp_at::varchar as air_temp_at, minutes_firing, supply_pa, manifold_pa, fan_speed_rpm, flame_signal_ua, draft_pa,
    co2_decimals, o2_decimals, co_decimals, flue_decimals, air_decimals, analyzer, calibrated, fuel, fuel_uncertain,
    vent_run, vent_uncertain, unit_target_key, age_days, marks
from joined.readings
where unit_key >= ?::integer and unit_key < ?::integer
order by taken;
