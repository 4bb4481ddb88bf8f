-- layer: read
-- makes: serials that a register gives a second id
-- grain: a row a serial
-- reads: about.build, record.units, joined.lines
-- why: whoever asks for a unit may know it by its second id
select distinct units.serial
from record.units as units
inner join joined.lines as lines on units.file_key = lines.file_key and units.line = lines.line
where units.second_id = ?::varchar and lines.outcome <> 'superseded' and lines.known_from <= (select as_of from about.build)
order by units.serial;
