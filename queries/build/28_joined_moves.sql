-- layer: joined
-- makes: joined.moves
-- grain: a row a unit and move, by the day of the export of the register that first states the new place
-- reads: record.visits, joined.visit_rows, joined.units, joined.places
-- why: a place that a later export states again was never left; the day is that of the vent run stated for the new place, or of the first start-up or work on the vent there, else open between the exports; anew: another boiler has the serial since
create table joined.moves as
with returns as (
    select unit_key, to_words, max(state_day) as state_day
    from joined.places
    group by unit_key, to_words
),

first_places as (
    select unit_key, arg_min(from_words, state_day) as words
    from joined.places
    group by unit_key
),

left_for_good as (
    select
        places.unit_key, places.state_day,
        coalesce(
            lag(places.to_words) over (partition by places.unit_key order by places.state_day), first_places.words
        ) <> places.to_words as gone
    from joined.places as places
    inner join first_places on places.unit_key = first_places.unit_key
    anti join returns
        on places.unit_key = returns.unit_key and places.from_words = returns.to_words
        and places.state_day < returns.state_day
),

arrivals as (
    select moved.unit_key, moved.state_day, min(visits.day) as day
    from left_for_good as moved
    inner join joined.places as places on moved.unit_key = places.unit_key and moved.state_day = places.state_day
    inner join joined.units as units on moved.unit_key = units.unit_key
    inner join joined.visit_rows as rows on units.serial = rows.serial
    inner join record.visits as visits on rows.visit_row = visits.visit_row
    where
        moved.gone and rows.describes and visits.reason in ('start-up', 'vent altered')
        and visits.day > places.last_day and visits.day <= moved.state_day
    group by moved.unit_key, moved.state_day
),

dated as (
    select
        places.unit_key, places.state_day, places.last_day, places.anew,
        least(
            arrivals.day,
            if(places.vent_from > places.last_day and places.vent_from <= places.state_day, places.vent_from, null)
        ) as known_day,
        places.from_site, places.to_site, places.from_area, places.from_altitude_m, places.file_key, places.line
    from left_for_good as moved
    inner join joined.places as places on moved.unit_key = places.unit_key and moved.state_day = places.state_day
    left join arrivals on moved.unit_key = arrivals.unit_key and moved.state_day = arrivals.state_day
    where moved.gone
)

select
    unit_key, state_day, last_day, anew, coalesce(known_day, state_day) as day, known_day is null as open, from_site, to_site,
    from_area, from_altitude_m, file_key, line
from dated
order by unit_key, state_day;
