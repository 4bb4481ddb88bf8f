-- layer: check
-- makes: numbers that are none
-- grain: a row a line and column
-- reads: record.visits, record.readings, record.units, record.model_lines, record.analyzers
-- why: a missing number is null; one that is not finite sorts above all others and spoils every mean
with numbers as (
    select file_key, line, unnest([outdoor_temp_c]) as number from record.visits
    union all
    select file_key, line, unnest([
        rate_percent, co2_percent, o2_percent, co_ppm, co_reference_o2, flue_temp_c, air_temp_c, minutes_firing, supply_pa,
        manifold_pa, fan_speed_rpm, flame_signal_ua, draft_pa
    ])
    from record.readings
    union all
    select file_key, line, unnest([
        input_kw, altitude_m, latitude, longitude, vent_diameter_m, vent_length_m, vent_rise_m, intake_diameter_m,
        intake_length_m
    ])
    from record.units
    union all
    select file_key, line, unnest([
        target_co2, target_o2, set_rich, set_lean, act_rich, act_lean, longest_run_m, fan_pa, factory_run_m,
        factory_altitude_m
    ])
    from record.model_lines
    union all
    select file_key, line, found_error from record.analyzers
)

select file_key, line, number
from numbers
where isnan(number) or isinf(number)
order by file_key, line;
