-- layer: result
-- makes: rows of result.predictions
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.predictions (
    unit_key, fire, target_co2_percent, act_rich_points, act_lean_points, co2_percent, low_percent,
    high_percent, recorded_low_percent, recorded_high_percent, today_rich, today_lean, planned_day,
    planned_rich, planned_lean, worst_day, worst_rich, worst_lean, outside, outside_from,
    outside_to, parts, verify_day, verify_read_percent, verify_expected_percent,
    verify_mistake, verify_out, suspect_analyzer, suspect_points, suspect_verdict, marks, path,
    harm, aim_points, aim_gain_days
)
select
    incoming.unit_key, incoming.fire, incoming.target_co2_percent, incoming.act_rich_points,
    incoming.act_lean_points, incoming.co2_percent, incoming.low_percent, incoming.high_percent,
    incoming.recorded_low_percent, incoming.recorded_high_percent, incoming.today_rich,
    incoming.today_lean, incoming.planned_day, incoming.planned_rich, incoming.planned_lean,
    incoming.worst_day, incoming.worst_rich, incoming.worst_lean, incoming.outside,
    incoming.outside_from, incoming.outside_to, incoming.parts,
    incoming.verify_day, incoming.verify_read_percent, incoming.verify_expected_percent,
    incoming.verify_mistake, incoming.verify_out, incoming.suspect_analyzer,
    incoming.suspect_points, incoming.suspect_verdict, incoming.marks,
    incoming.path, incoming.harm, incoming.aim_points, incoming.aim_gain_days
from main.incoming;
