-- layer: joined
-- makes: joined.stretches
-- grain: a row a unit, subject (vent, fuel) and stretch of states that do not contradict each other
-- reads: record.units, joined.states, joined.alterations, joined.turns
-- why: half-open and without overlap: a day stated anew decides (one that an earlier state gave already, or not after the install day, is no news), then the one visit made for it, then the export; a stretch ends where a later one begins, and one that is left no day is dropped; after an alteration that no export of the register has seen yet the stretch is unknown, and unmeasured after a move with which nothing else was stated anew
create table joined.stretches as
with subjects as (
    select unnest(['vent', 'fuel']) as subject
),

numbered_states as (
    select
        states.unit_key, subjects.subject, states.state_day, states.by_period, states.installed, turns.last_day, turns.pinned_day, turns.place_only,
        if(subjects.subject = 'vent', given.vent_from, given.fuel_from) as stated_from,
        count(turns.state_day) over (partition by states.unit_key, subjects.subject order by states.state_day) as number
    from joined.states as states
    cross join subjects
    inner join record.units as given on states.file_key = given.file_key and states.line = given.line
    left join joined.turns as turns
        on states.unit_key = turns.unit_key and subjects.subject = turns.subject and states.state_day = turns.state_day
),

found as (
    select
        unit_key, subject, number, min(state_day) as first_state, max(state_day) as last_state,
        max(installed) as installed, max(last_day) as last_day, max(pinned_day) as pinned_day,
        coalesce(bool_or(place_only), false) as place_only,
        arg_max(stated_from, state_day) as stated_from, arg_min(by_period, state_day) as by_period
    from numbered_states
    group by unit_key, subject, number
),

dated as (
    select
        unit_key, subject, number, first_state, last_state, place_only,
        if(by_period, first_state, last_day) as last_day, if(by_period, first_state, pinned_day) as pinned_day,
        case
            when stated_from <= installed then null
            when stated_from = lag(stated_from ignore nulls) over in_order then null
            else stated_from
        end as stated_from
    from found
    window in_order as (partition by unit_key, subject order by number)
),

begun as (
    select
        unit_key, subject, number, first_state, last_state,
        if(number = 0, stated_from, coalesce(stated_from, pinned_day, first_state)) as from_day,
        if(stated_from is null and pinned_day is null, last_day, null) as uncertain_from,
        stated_from is null and pinned_day is not null as pinned,
        place_only and coalesce(stated_from <= last_day, true) as unmeasured
    from dated
    union all
    select unit_key, subject, 1000000, null, null, min(day), null, true, false
    from joined.alterations
    where unseen
    group by unit_key, subject
),

bounded as (
    select
        unit_key, subject, number, first_state, last_state, from_day, uncertain_from, pinned, unmeasured,
        min(from_day) over later as until_day, lead(uncertain_from) over in_order as unsure_after
    from begun
    window
        in_order as (partition by unit_key, subject order by number),
        later as (
            partition by unit_key, subject order by number rows between 1 following and unbounded following
        )
)

select
    unit_key, subject, first_state, last_state, from_day, until_day, uncertain_from, unsure_after, pinned, unmeasured
from bounded
where from_day is null or until_day is null or from_day < until_day
order by unit_key, subject, number;
