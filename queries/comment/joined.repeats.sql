comment on table joined.repeats is 'a row a line of readings all of whose readings repeat those of another visit: one reading keyed twice under two visits is no second measurement; equal values at two units are, and so may values be of which one cannot be read';
comment on column joined.repeats.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.repeats.line is 'line of the export';
comment on column joined.repeats.other_place is 'place of the line that stands instead or contradicts';
