comment on table joined.replaced is 'a row a line whose corrected copy of the same key came back: a corrected copy names the line it stands for, and replaces it whatever is known of the days of their exports';
comment on column joined.replaced.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.replaced.line is 'line of the export';
comment on column joined.replaced.by_place is 'order of the corrected copy by export, file and line';
