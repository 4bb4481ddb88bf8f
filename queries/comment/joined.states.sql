comment on table joined.states is 'a row a unit and day from which the register states it: what the register said of a unit, day by day, in whatever order its exports are read. An install day after the day of an export that stated an earlier one is no correction of it: another boiler has the serial since, unless a later export takes it back';
comment on column joined.states.unit_key is 'the unit, joins with joined.units';
comment on column joined.states.state_day is 'day of the export that states it';
comment on column joined.states.file_key is 'the export, joins with source.files; -1 for the configuration';
comment on column joined.states.line is 'line of the export';
comment on column joined.states.by_period is 'the line is of a validity period, which begins on that day';
comment on column joined.states.installed is 'install day as the register states it';
comment on column joined.states.install is 'number of the installation, from 0';
comment on column joined.states.install_day is 'day the installation begins';
