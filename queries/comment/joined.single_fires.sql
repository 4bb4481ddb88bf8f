comment on table joined.single_fires is 'a row a unit that is read at its single fire: a unit whose targets are all of a single fire has one fire, whichever its records call it';
comment on column joined.single_fires.unit_key is 'the unit, joins with joined.units';
