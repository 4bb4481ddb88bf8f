comment on table joined.visit_keys is 'a row a visit row with a standing line: keys of visits follow unit, day and time, without gaps, so that keys alone put a history in order';
comment on column joined.visit_keys.visit_row is 'the visit as exported, joins with record.visits';
comment on column joined.visit_keys.visit_hash is 'digest of the key of the visit';
comment on column joined.visit_keys.describes is 'the row says what the visit was';
comment on column joined.visit_keys.source is 'group of exports whose visit ids belong together';
comment on column joined.visit_keys.how is 'how the serial was matched';
comment on column joined.visit_keys.visit_key is 'the visit, joins with joined.visits';
comment on column joined.visit_keys.unit_key is 'the unit, joins with joined.units';
