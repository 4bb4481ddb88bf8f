-- layer: read
-- makes: pairs of layouts of the unit register, compared
-- grain: a row a pair of layouts
-- reads: source.files, record.units, joined.register, joined.files
-- why: a second register whose serials are spelt otherwise makes units that do not exist, and one that names other model lines moves the targets of units that do
with newest as (
    select
        files.layout, units.serial, arg_max(units.model_line, ranked.file_rank) as model_line,
        ltrim(regexp_replace(lower(units.serial), '[^0-9a-z]', '', 'g'), '0') as spelt
    from record.units as units
    inner join joined.register as register on units.file_key = register.file_key and units.line = register.line
    inner join joined.files as ranked on units.file_key = ranked.file_key
    inner join source.files as files on units.file_key = files.file_key
    where register.outcome in ('accepted', 'duplicate')
    group by files.layout, units.serial
),

sizes as (
    select layout, count(*) as serials
    from newest
    group by layout
),

alike as (
    select
        one.layout as first_layout, other.layout as second_layout, count(distinct other.serial) as alike,
        min(one.serial) as first_serial, arg_min(other.serial, one.serial) as second_serial
    from newest as one
    inner join newest as other on one.spelt = other.spelt and one.layout < other.layout and one.serial <> other.serial
    where one.spelt <> ''
    group by one.layout, other.layout
),

moved as (
    select
        one.layout as first_layout, other.layout as second_layout, count(*) as moved, min(one.serial) as moved_serial,
        arg_min(one.model_line, one.serial) as first_line, arg_min(other.model_line, one.serial) as second_line
    from newest as one
    inner join newest as other on one.serial = other.serial and one.layout < other.layout
    where one.model_line <> other.model_line
    group by one.layout, other.layout
)

select
    one.layout as first_layout, other.layout as second_layout, one.serials as first_serials, other.serials as second_serials,
    alike.alike, alike.first_serial, alike.second_serial, moved.moved, moved.moved_serial, moved.first_line, moved.second_line
from sizes as one
inner join sizes as other on one.layout < other.layout
left join alike on one.layout = alike.first_layout and other.layout = alike.second_layout
left join moved on one.layout = moved.first_layout and other.layout = moved.second_layout
where alike.alike > 0 or moved.moved > 0
order by one.layout, other.layout;
