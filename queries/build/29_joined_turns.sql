-- layer: joined
-- makes: joined.turns
-- grain: a row a unit, subject (vent, fuel) and day of a state that contradicts the one before
-- reads: record.units, joined.states, joined.alterations, joined.moves
-- why: a blank contradicts nothing, and lengths that agree to the centimetre (diameters to the millimetre) are the same in other units of measure; another place is another run, whatever it measures: place_only where nothing else of it changed, so that nothing tells that it was recorded there; last_day is the last day on which the earlier state was stated. A boiler that has the serial anew has its own run and fuel from its install day
create table joined.turns as
with varied as (
    select states.unit_key
    from joined.states as states
    inner join record.units as given on states.file_key = given.file_key and states.line = given.line
    group by states.unit_key
    having count(distinct hash(
        given.fuel, given.vent_diameter_m, given.vent_length_m, given.vent_rise_m, given.elbows_90, given.elbows_45,
        given.terminal, given.material, given.air_from, given.intake_diameter_m, given.intake_length_m,
        given.intake_elbows_90, given.intake_elbows_45, given.common_vent
    )) > 1
),

worded as (
    select
        states.unit_key, states.state_day, unnest(range(14)) as item,
        unnest([
            given.fuel, round(given.vent_diameter_m, 3)::varchar, round(given.vent_length_m, 2)::varchar,
            round(given.vent_rise_m, 2)::varchar, given.elbows_90::varchar, given.elbows_45::varchar, given.terminal, given.material,
            given.air_from, round(given.intake_diameter_m, 3)::varchar, round(given.intake_length_m, 2)::varchar,
            given.intake_elbows_90::varchar, given.intake_elbows_45::varchar, given.common_vent
        ]) as words
    from joined.states as states semi join varied on states.unit_key = varied.unit_key
    inner join record.units as given on states.file_key = given.file_key and states.line = given.line
),

compared as (
    select unit_key, state_day, if(item = 0, 'fuel', 'vent') as subject, words, lag(words) over earlier as words_before,
        lag(state_day) over earlier as day_before
    from worded where words is not null
    window earlier as (partition by unit_key, item order by state_day)
),

changed as (
    select unit_key, subject, state_day, day_before, null::date as known_day, false as place_only
    from compared where words <> words_before
    union all
    select unit_key, 'vent', state_day, last_day, if(open or anew, null, day), not anew from joined.moves
),

turned as (
    select unit_key, subject, state_day, max(day_before) as last_day, max(known_day) as known_day, bool_and(place_only) as place_only
    from changed
    group by unit_key, subject, state_day
),

installs as (
    select unit_key, install_day, min(state_day) as state_day
    from joined.states where install > 0 group by unit_key, install, install_day
),

installed_anew as (
    select turned, max(installs.install_day) as install_day
    from turned left join installs on turned.unit_key = installs.unit_key and turned.state_day = installs.state_day
        and installs.install_day > turned.last_day and installs.install_day <= turned.state_day
    group by all
),

witnessed as (
    select turned, install_day, count(visits.day) as days, min(visits.day) as day
    from installed_anew left join joined.alterations as visits on turned.unit_key = visits.unit_key and turned.subject = visits.subject
        and visits.day > coalesce(install_day, turned.last_day) and visits.day <= turned.state_day
    group by all
)

select
    turned.unit_key, turned.subject, turned.state_day, turned.last_day, turned.place_only,
    case
        when turned.known_day is not null then turned.known_day
        when install_day is null and days = 1 then day
        when days = 0 then install_day
    end as pinned_day
from witnessed
order by turned.unit_key, turned.subject, turned.state_day;
