-- layer: read
-- makes: CO that stands on lines which take no part
-- grain: a row a CO
-- reads: source.files, joined.unused_co, joined.units, joined.single_fires
-- why: a dangerous CO is not lost with its line; one whose serial names no unit is there too
select
    units.unit_key, seen.serial, files.name as file, seen.line, seen.day, seen.latest_day,
    if(single.unit_key is not null and seen.fire = 'high', 'single', seen.fire) as fire, seen.condition,
    seen.co_text, seen.co_ppm, seen.co_limit, seen.co_basis, seen.co_reference_o2, seen.o2_percent, seen.reason
from joined.unused_co as seen
inner join source.files as files on seen.file_key = files.file_key
left join joined.units as units on seen.serial = units.serial
left join joined.single_fires as single on units.unit_key = single.unit_key
order by files.name, seen.line, seen.part;
