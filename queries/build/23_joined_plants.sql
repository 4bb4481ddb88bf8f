-- layer: joined
-- makes: joined.plants
-- grain: a row a unit of a plant
-- reads: record.plants, joined.files, joined.lines, joined.serials, joined.units
-- why: which units share a vent, an intake or a sequence, as the newest export says
create table joined.plants as
with standing as (
    select
        units.unit_key, given.plant, given.site, given.common,
        row_number() over (
            partition by units.unit_key, given.plant order by files.file_rank desc, given.line desc
        ) as newness
    from record.plants as given
    inner join joined.lines as lines on given.file_key = lines.file_key and given.line = lines.line
    inner join joined.files as files on given.file_key = files.file_key
    inner join joined.serials as serials on given.serial = serials.written
    inner join joined.units as units on serials.serial = units.serial
    where lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of')
)

select unit_key, plant, site, common
from standing
where newness = 1
order by unit_key, plant;
