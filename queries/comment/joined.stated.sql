comment on table joined.stated is 'a row a unit and day from which a line of the register states it: a line is the state of the day of its export (a register of unknown day comes first), or of a period of its own: of the newest export that has periods of the unit, the line with the latest start is in force on a day, and where it ends one that still lasts';
comment on column joined.stated.unit_key is 'the unit, joins with joined.units';
comment on column joined.stated.state_day is 'day of the export that states it';
comment on column joined.stated.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.stated.line is 'line of the export';
comment on column joined.stated.by_period is 'the line is of a validity period, which begins on that day';
