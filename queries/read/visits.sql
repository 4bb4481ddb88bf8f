-- layer: read
-- makes: visits
-- grain: a row a visit at a unit
-- reads: joined.visits
-- why: a unit's history, oldest first
select
    visit_key, unit_key, visit_id, source, file_key, line, day, minute, age_days, reason, technician, analyzer,
    adjusted_high::varchar as adjusted_high, adjusted_low::varchar as adjusted_low, parts, not_reached, outdoor_temp_c,
    fuel, fuel_uncertain, vent_run, vent_uncertain, marks
from joined.visits
where unit_key >= ?::integer and unit_key < ?::integer
order by visit_key;
