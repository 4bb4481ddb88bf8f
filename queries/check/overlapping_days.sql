-- layer: check
-- makes: half-open stretches of days that overlap
-- grain: a row a stretch
-- reads: joined.vent_runs, joined.fuels, joined.targets, joined.unit_targets, joined.calibrations
-- why: on any day one thing is in force, or none
with stretches as (
    select 'joined.vent_runs' as relation, hash(unit_key) as whose, from_day, until_day
    from joined.vent_runs
    union all
    select 'joined.fuels', hash(unit_key), from_day, until_day
    from joined.fuels
    union all
    select 'joined.targets', hash(precedence, serial, model_line, fuel, fire), from_day, until_day
    from joined.targets
    union all
    select 'joined.unit_targets', hash(unit_key, fuel, fire), from_day, until_day
    from joined.unit_targets
    union all
    select 'joined.calibrations', hash(analyzer), calibrated, until_day
    from joined.calibrations
),

compared as (
    select
        relation, whose, from_day, until_day,
        lead(from_day) over (partition by relation, whose order by from_day nulls first) as next_from_day,
        row_number() over (partition by relation, whose order by from_day nulls first) > 1 as has_earlier
    from stretches
)

select relation, whose, from_day, until_day, next_from_day
from compared
where from_day >= until_day or until_day > next_from_day or (until_day is null and next_from_day is not null)
    or (from_day is null and has_earlier)
order by relation, whose, from_day;
