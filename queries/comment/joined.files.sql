comment on table joined.files is 'a row a file that was read: the order of exports, and whether a file''s lines were known from their own days (the first export of a kind of record in a source group, and files of unknown day) or from the day of export';
comment on column joined.files.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.files.record is 'what a row of the export is';
comment on column joined.files.source is 'group of exports whose visit ids belong together';
comment on column joined.files.export_day is 'day of the export, none where it is not known';
comment on column joined.files.file_rank is 'place of the export in their order';
comment on column joined.files.known_by_own_day is 'its lines were known from their own days';
