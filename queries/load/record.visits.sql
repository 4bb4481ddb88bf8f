-- layer: record
-- makes: rows of record.visits
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.visits (
    visit_row, file_key, line, visit_id, serial, site, day, minute, reason, technician, analyzer, adjusted,
    adjusted_high, adjusted_low, parts, not_reached, outdoor_temp_c, wide, key_hash, content_hash, marks
)
select
    incoming.visit_row, incoming.file_key, incoming.line, incoming.visit_id, incoming.serial, incoming.site, incoming.day,
    incoming.minute, incoming.reason, incoming.technician, incoming.analyzer, incoming.adjusted::record.yes_no,
    incoming.adjusted_high::record.yes_no, incoming.adjusted_low::record.yes_no, incoming.parts,
    incoming.not_reached, incoming.outdoor_temp_c, incoming.wide, incoming.key_hash, incoming.content_hash,
    incoming.marks
from main.incoming;
