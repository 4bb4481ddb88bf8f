-- layer: joined
-- makes: joined.fuels
-- grain: a row a unit and period of one fuel
-- reads: record.units, joined.states, joined.stretches
-- why: the fuel from a day on (null: from the first; a fuel of null is not known); unsure_after is the last day the period is sure of
create table joined.fuels as
with stated as (
    select
        periods.unit_key, periods.from_day, periods.until_day, periods.uncertain_from, periods.unsure_after,
        periods.pinned, arg_max(given.fuel, states.state_day) as fuel
    from joined.stretches as periods
    left join joined.states as states
        on periods.unit_key = states.unit_key and states.state_day between periods.first_state and periods.last_state
    left join record.units as given on states.file_key = given.file_key and states.line = given.line
    where periods.subject = 'fuel'
    group by
        periods.unit_key, periods.from_day, periods.until_day, periods.uncertain_from, periods.unsure_after,
        periods.pinned
)

select unit_key, from_day, until_day, uncertain_from, unsure_after, pinned, fuel
from stated
order by unit_key, from_day nulls first;
