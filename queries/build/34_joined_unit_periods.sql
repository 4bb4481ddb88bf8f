-- layer: joined
-- makes: joined.unit_periods
-- grain: a row a unit and stretch of days in which one line of the register describes it
-- reads: record.units, joined.units, joined.states
-- why: a register with a row a validity period says which model line, control and input a unit had on the day of a visit; any other says what it has, and its newest line holds for all days
create view joined.unit_periods as
with in_turn as (
    select
        states.unit_key, states.state_day, states.file_key, states.line,
        lag(states.state_day) over by_day is null as is_first, lead(states.state_day) over by_day as until_day
    from joined.states as states
    where states.by_period
    window by_day as (partition by states.unit_key order by states.state_day)
)

select
    units.unit_key, if(in_turn.is_first, null, in_turn.state_day) as from_day, in_turn.until_day,
    coalesce(given.model_line, units.model_line) as model_line, coalesce(given.control, units.control) as control,
    coalesce(given.firing, units.firing) as firing, coalesce(given.input_kw, units.input_kw) as input_kw
from joined.units as units
left join in_turn on units.unit_key = in_turn.unit_key
left join record.units as given on in_turn.file_key = given.file_key and in_turn.line = given.line;
