-- layer: joined
-- makes: joined.places
-- grain: a row a unit and day of export of the register that states another place for it than the export before
-- reads: record.units, joined.files, joined.states
-- why: a place on the map decides, where one is stated, else the site's name, however it is written; exports are compared within one source, or with a source that lists the unit no more: two sources may call one site by two names
create table joined.places as
with placed as (
    select
        states.unit_key, states.state_day, files.source,
        {
            'day': states.state_day, 'install': states.install, 'site': given.site, 'area': given.area,
            'altitude_m': given.altitude_m, 'latitude': given.latitude, 'longitude': given.longitude,
            'name': nullif(regexp_replace(lower(strip_accents(given.site)), '[^\p{L}\p{N}]', '', 'g'), ''),
            'mapped': given.latitude is not null and given.longitude is not null,
            'file_key': given.file_key, 'line': given.line, 'vent_from': given.vent_from
        } as here
    from joined.states as states
    inner join record.units as given on states.file_key = given.file_key and states.line = given.line
    inner join joined.files as files on given.file_key = files.file_key
),

sources_ended as (
    select
        unit_key, state_day, source, here,
        if(
            max(state_day) over (partition by unit_key, source) = state_day
            and max(state_day) over (partition by source) > state_day, here, null
        ) as left_behind
    from placed
    where here.mapped or here.name is not null
),

in_turn as (
    select
        unit_key, state_day, here,
        coalesce(
            lag(here) over (partition by unit_key, source order by state_day),
            lag(left_behind ignore nulls) over (partition by unit_key order by state_day)
        ) as gone
    from sources_ended
)

select
    unit_key, state_day, here.install > gone.install as anew, gone.day as last_day, gone.site as from_site,
    here.site as to_site, gone.area as from_area, gone.altitude_m as from_altitude_m, here.vent_from, here.file_key, here.line,
    concat_ws(' ', gone.name, round(gone.latitude, 1), round(gone.longitude, 1)) as from_words,
    concat_ws(' ', here.name, round(here.latitude, 1), round(here.longitude, 1)) as to_words
from in_turn
where
    case
        when here.mapped and gone.mapped
            then greatest(
                abs(here.latitude - gone.latitude),
                abs(here.longitude - gone.longitude) * cos(radians(here.latitude))
            ) > if(coalesce(here.name = gone.name, false), 0.1, 0.01)
        else here.name <> gone.name
    end
order by unit_key, state_day;
