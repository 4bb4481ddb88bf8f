-- layer: source
-- makes: rows of source.unused_co
-- grain: a row a row of the view
-- reads: main.incoming
-- why: a dangerous CO is not lost with its line
insert into source.unused_co (
    file_key, line, part, serial, visit_id, day, fire, condition, co_text, co_ppm, co_limit, co_basis, co_reference_o2,
    o2_percent, reason, line_hash
)
select
    incoming.file_key, incoming.line, incoming.part, incoming.serial, incoming.visit_id, incoming.day, incoming.fire,
    incoming.condition, incoming.co_text, incoming.co_ppm, incoming.co_limit, incoming.co_basis, incoming.co_reference_o2,
    incoming.o2_percent, incoming.reason, incoming.line_hash
from main.incoming;
