-- layer: read
-- makes: vent runs of units
-- grain: a row a unit and vent run
-- reads: joined.vent_runs
-- why: how a unit was vented on any day
select
    unit_key, run, from_day, until_day, uncertain_from, known, pinned, vent_diameter_m, vent_length_m, vent_rise_m,
    elbows_90, elbows_45, terminal, material, air_from, intake_diameter_m, intake_length_m, intake_elbows_90,
    intake_elbows_45, common_vent
from joined.vent_runs
where unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, run;
