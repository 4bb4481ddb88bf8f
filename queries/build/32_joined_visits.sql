-- layer: joined
-- makes: joined.visits
-- grain: a row a visit at a unit
-- reads: record.visits, joined.visit_rows, joined.units, joined.vent_runs, joined.fuels, joined.calibrations, joined.adjustments
-- why: each visit with what was in force at its unit on the day; whether a fire was adjusted: the fire's own column, else a reading of it, else the visit's; keys follow unit, day and time
create table joined.visits as
with described as (
    select
        units.unit_key, rows.visit_hash, rows.source, rows.how, visits.file_key, visits.line, visits.visit_id, visits.day,
        visits.minute, visits.day - units.installed as age_days, visits.reason, visits.technician, visits.analyzer,
        visits.adjusted, visits.adjusted_high, visits.adjusted_low, visits.parts, visits.not_reached,
        visits.outdoor_temp_c, visits.marks
    from joined.visit_rows as rows
    inner join record.visits as visits on rows.visit_row = visits.visit_row
    inner join joined.units as units on rows.serial = units.serial
    where rows.describes
),

in_context as (
    select
        visits.unit_key, visits.visit_hash, visits.source, visits.file_key, visits.line, visits.visit_id, visits.day,
        visits.minute, visits.age_days, visits.reason, visits.technician, visits.analyzer, calibrations.calibrated,
        coalesce(visits.adjusted_high, said.adjusted_high, visits.adjusted) as adjusted_high,
        coalesce(visits.adjusted_low, said.adjusted_low, visits.adjusted) as adjusted_low,
        visits.parts, visits.not_reached, visits.outdoor_temp_c,
        runs.run as vent_run, coalesce(visits.day > runs.unsure_after, false) as vent_uncertain,
        fuels.fuel, coalesce(visits.day > fuels.unsure_after, false) as fuel_uncertain,
        nullif(concat_ws(' ', visits.marks, case visits.how when 'letter case' then 'serial:letter-case' when 'not in register' then 'not-in-register' end), '') as marks
    from described as visits
    left join joined.adjustments as said on visits.visit_hash = said.visit_hash
    left join joined.vent_runs as runs
        on visits.unit_key = runs.unit_key
        and visits.day >= coalesce(runs.from_day, date '0001-01-01')
        and visits.day < coalesce(runs.until_day, date '9999-12-31')
    left join joined.fuels as fuels
        on visits.unit_key = fuels.unit_key
        and visits.day >= coalesce(fuels.from_day, date '0001-01-01')
        and visits.day < coalesce(fuels.until_day, date '9999-12-31')
    left join joined.calibrations as calibrations
        on visits.analyzer = calibrations.analyzer and visits.day >= calibrations.calibrated
        and visits.day < coalesce(calibrations.until_day, date '9999-12-31')
)

select
    row_number() over (
        order by unit_key, day, minute nulls first, source, visit_id nulls first, visit_hash
    )::integer as visit_key,
    unit_key, visit_hash, source, file_key, line, visit_id, day, minute, age_days, reason, technician, analyzer, calibrated,
    adjusted_high, adjusted_low, parts, not_reached, outdoor_temp_c, vent_run, vent_uncertain, fuel, fuel_uncertain,
    marks
from in_context
order by visit_key;
