comment on table source.returned is 'a row a line of a file to correct that came back: where everything came from, and what was not accepted, word for word';
comment on column source.returned.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column source.returned.line is 'line of the export';
comment on column source.returned.of_file is 'name of the file that the line was copied from, as a file to correct writes it';
comment on column source.returned.of_line is 'line that it was copied from';
