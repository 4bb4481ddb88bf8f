-- layer: check
-- makes: readings in a unit's history whose line does not stand
-- grain: a row a reading
-- reads: about.build, joined.lines, joined.visits, joined.reading_values
-- why: what is superseded, doubled, doubtful or not known yet takes no part, and each reading lies in a visit of its unit
select readings.file_key, readings.line, readings.part, lines.outcome
from joined.reading_values as readings
cross join about.build as build
left join joined.lines as lines on readings.file_key = lines.file_key and readings.line = lines.line
left join joined.visits as visits on readings.visit_key = visits.visit_key and readings.unit_key = visits.unit_key
where visits.visit_key is null or lines.line is null or lines.outcome <> 'accepted' or lines.known_from > build.as_of
order by readings.file_key, readings.line, readings.part;
