-- layer: read
-- makes: forecasts of the units of a slice
-- grain: a row a unit and fire
-- reads: result.predictions
-- why: a unit's story shows the forecast the published list was made with
select
    unit_key, fire, target_co2_percent, act_rich_points, act_lean_points, co2_percent, low_percent,
    high_percent, recorded_low_percent, recorded_high_percent, today_rich, today_lean, planned_day,
    planned_rich, planned_lean, worst_day, worst_rich, worst_lean, outside, outside_from,
    outside_to, parts, verify_day, verify_read_percent, verify_expected_percent,
    verify_mistake, verify_out, suspect_analyzer, suspect_points, suspect_verdict, marks, path,
    harm, aim_points, aim_gain_days
from result.predictions
where unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, fire;
