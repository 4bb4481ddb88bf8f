comment on view joined.given is 'a row a parsed line of a file: lines of every kind side by side; place orders them by export, file and line; known_from is the day a line became known';
comment on column joined.given.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.given.line is 'line of the export';
comment on column joined.given.record is 'what a row of the export is';
comment on column joined.given.key_hash is 'digest of the key of the line: equal for lines that speak of one record';
comment on column joined.given.content_hash is 'digest of all values of the line: equal for equal content';
comment on column joined.given.export_day is 'day of the export, none where it is not known';
comment on column joined.given.place is 'place of the line in the order of exports';
comment on column joined.given.known_from is 'day on which the line became known';
