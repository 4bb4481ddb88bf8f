-- layer: joined
-- makes: joined.places
-- grain: a row a unit and day of export of the register that states another place for it than the export before
-- reads: record.units, joined.files, joined.states
-- why: a place on the map decides, where one is stated, else the site's name, however it is written; exports are compared within one source, or with a source that lists the unit no more: two sources may call one site by two names
create table joined.places as
with names as (
    select site, nullif(regexp_replace(lower(strip_accents(site)), '[^\p{L}\p{N}]', '', 'g'), '') as name
    from (select distinct site from record.units where site is not null)
),

located as materialized (
    select
        states.unit_key, states.state_day, states.install, states.by_period, files.source, names.name, given.latitude, given.longitude,
        given.file_key, given.line
    from joined.states as states
    inner join record.units as given on states.file_key = given.file_key and states.line = given.line
    inner join joined.files as files on given.file_key = files.file_key
    left join names on given.site = names.site
    where given.latitude is not null and given.longitude is not null or names.name is not null
),

varied as (
    select unit_key
    from located
    group by unit_key
    having min(name) <> max(name) or min(latitude) <> max(latitude) or min(longitude) <> max(longitude)
),

newest_of_sources as (select source, max(state_day) as state_day from located group by source),

placed as (
    select
        located.unit_key, located.state_day, located.source, newest.state_day as source_until,
        {
            'day': located.state_day, 'install': located.install, 'site': given.site, 'area': given.area,
            'altitude_m': given.altitude_m, 'latitude': given.latitude, 'longitude': given.longitude,
            'name': located.name, 'mapped': given.latitude is not null and given.longitude is not null,
            'file_key': given.file_key, 'line': given.line,
            'vent_from': if(located.by_period, located.state_day, given.vent_from)
        } as here
    from located
    semi join varied on located.unit_key = varied.unit_key
    inner join record.units as given on located.file_key = given.file_key and located.line = given.line
    inner join newest_of_sources as newest on located.source is not distinct from newest.source
),

sources_ended as (
    select
        unit_key, state_day, source, here,
        if(max(state_day) over (partition by unit_key, source) = state_day and source_until > state_day, here, null) as left_behind
    from placed
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
