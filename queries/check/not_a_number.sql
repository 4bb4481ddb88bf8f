-- layer: check
-- makes: lines with numbers that are none
-- grain: a row a line
-- reads: record.visits, record.readings, record.units, record.model_lines, record.analyzers
-- why: a missing number is null; one that is not finite sorts above all others (or below) and spoils every mean
with extremes as (
    select file_key, line, outdoor_temp_c as highest, outdoor_temp_c as lowest
    from record.visits
    union all
    select
        file_key, line,
        greatest(
            rate_percent, co2_percent, o2_percent, co_ppm, co_reference_o2, flue_temp_c, air_temp_c, minutes_firing,
            supply_pa, manifold_pa, fan_speed_rpm, flame_signal_ua, draft_pa
        ),
        least(
            rate_percent, co2_percent, o2_percent, co_ppm, co_reference_o2, flue_temp_c, air_temp_c, minutes_firing,
            supply_pa, manifold_pa, fan_speed_rpm, flame_signal_ua, draft_pa
        )
    from record.readings
    union all
    select
        file_key, line,
        greatest(
            input_kw, altitude_m, latitude, longitude, vent_diameter_m, vent_length_m, vent_rise_m, intake_diameter_m,
            intake_length_m
        ),
        least(
            input_kw, altitude_m, latitude, longitude, vent_diameter_m, vent_length_m, vent_rise_m, intake_diameter_m,
            intake_length_m
        )
    from record.units
    union all
    select
        file_key, line,
        greatest(
            target_co2, target_o2, set_rich, set_lean, act_rich, act_lean, longest_run_m, fan_pa, factory_run_m,
            factory_altitude_m
        ),
        least(
            target_co2, target_o2, set_rich, set_lean, act_rich, act_lean, longest_run_m, fan_pa, factory_run_m,
            factory_altitude_m
        )
    from record.model_lines
    union all
    select file_key, line, found_error, found_error
    from record.analyzers
)

select file_key, line, highest, lowest
from extremes
where highest >= 'infinity'::double or lowest <= '-infinity'::double
order by file_key, line;
