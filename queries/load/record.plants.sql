-- layer: record
-- makes: rows of record.plants
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.plants (
    file_key, line, plant, site, serial, common, key_hash, content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.plant, incoming.site, incoming.serial, incoming.common,
    incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
