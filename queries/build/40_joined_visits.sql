-- layer: joined
-- makes: joined.visits
-- grain: a row a visit at a unit
-- reads: record.visits, joined.states, joined.vent_runs, joined.fuels, joined.calibrations, joined.adjustments, joined.visit_keys
-- why: each visit with what was in force at its unit on the day, the install too, where a factory test comes before its own; whether a fire was adjusted: the fire's own column, else a reading of it, else the visit's
create table joined.visits as
with installs as (
    select
        unit_key, install, install_day, if(install = 0, date '0001-01-01', install_day) as from_day,
        coalesce(lead(install_day) over (partition by unit_key order by install), date '9999-12-31') as until_day,
        coalesce(lag(install_day) over (partition by unit_key order by install), date '0001-01-01') as built_after
    from joined.states
    group by unit_key, install, install_day
),

days_of_installs as (
    select unit_key, install_day, until_day, false as at_factory, from_day as first_day, until_day as end_day
    from installs
    union all
    select
        unit_key, install_day, until_day, true, built_after + 1,
        if(until_day = date '9999-12-31', until_day, install_day + 1)
    from installs
),

in_context as (
    select
        keys.visit_key, keys.unit_key, keys.visit_hash, keys.source, visits.file_key, visits.line, visits.visit_id,
        visits.day, visits.minute, visits.day - installs.install_day as age_days, visits.reason, visits.technician,
        visits.analyzer, calibrations.calibrated,
        coalesce(visits.adjusted_high, said.adjusted_high, visits.adjusted) as adjusted_high,
        coalesce(visits.adjusted_low, said.adjusted_low, visits.adjusted) as adjusted_low,
        visits.parts, visits.not_reached, visits.outdoor_temp_c,
        runs.run as vent_run, coalesce(visits.day > runs.unsure_after, false) as vent_uncertain,
        fuels.fuel, coalesce(visits.day > fuels.unsure_after, false) as fuel_uncertain,
        nullif(concat_ws(
            ' ', visits.marks,
            if(installs.until_day < date '9999-12-31', 'earlier-install', null),
            case
                when visits.reason = 'factory test' then null
                when visits.day < installs.install_day or visits.day >= installs.until_day - 90 then 'before-install'
            end,
            case keys.how when 'letter case' then 'serial:letter-case' when 'second id' then 'serial:second-id' when 'not in register' then 'not-in-register' end
        ), '') as marks
    from joined.visit_keys as keys
    inner join record.visits as visits on keys.visit_row = visits.visit_row
    left join days_of_installs as installs
        on keys.unit_key = installs.unit_key
        and (visits.reason is not distinct from 'factory test') = installs.at_factory
        and visits.day >= installs.first_day and visits.day < installs.end_day
    left join joined.adjustments as said on keys.visit_hash = said.visit_hash
    left join joined.vent_runs as runs
        on keys.unit_key = runs.unit_key
        and visits.day >= coalesce(runs.from_day, date '0001-01-01')
        and visits.day < coalesce(runs.until_day, date '9999-12-31')
    left join joined.fuels as fuels
        on keys.unit_key = fuels.unit_key
        and visits.day >= coalesce(fuels.from_day, date '0001-01-01')
        and visits.day < coalesce(fuels.until_day, date '9999-12-31')
    left join joined.calibrations as calibrations
        on visits.analyzer = calibrations.analyzer and visits.day >= calibrations.calibrated
        and visits.day < coalesce(calibrations.until_day, date '9999-12-31')
    where keys.describes
)

select
    visit_key, unit_key, visit_hash, source, file_key, line, visit_id, day, minute, age_days, reason, technician, analyzer,
    calibrated, adjusted_high, adjusted_low, parts, not_reached, outdoor_temp_c, vent_run, vent_uncertain, fuel,
    fuel_uncertain, marks
from in_context
order by visit_key;
