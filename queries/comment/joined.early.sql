comment on table joined.early is 'a row a standing line of readings that no unit can have: taken more than 90 days before the install day, or under a second id of several units: a month or a year alone counts from its first day; a factory test comes before the install day and a start-up may come a little before; what comes earlier is a wrong day or a wrong serial, unless an export of the register states an earlier install of the serial, which was in force then';
comment on column joined.early.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.early.line is 'line of the export';
comment on column joined.early.reason is 'why no unit can have the line';
