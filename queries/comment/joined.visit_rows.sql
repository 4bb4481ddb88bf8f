comment on table joined.visit_rows is 'a row a visit row with a standing line: a visit exported several times is one visit, described by the row of its newest export that still stands';
comment on column joined.visit_rows.visit_row is 'the visit as exported, joins with record.visits';
comment on column joined.visit_rows.visit_hash is 'digest of the key of the visit';
comment on column joined.visit_rows.serial is 'serial of the unit, exact';
comment on column joined.visit_rows.how is 'how the serial was matched';
comment on column joined.visit_rows.source is 'group of exports whose visit ids belong together';
comment on column joined.visit_rows.describes is 'the row says what the visit was';
