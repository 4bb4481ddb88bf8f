comment on table joined.alterations is 'a row a unit, subject (vent, fuel) and day of a visit made to alter it: such a visit tells the day that two exports of the register leave open, for every boiler of a common vent; one after the newest export leaves the state unknown';
comment on column joined.alterations.unit_key is 'the unit, joins with joined.units';
comment on column joined.alterations.subject is 'vent or fuel';
comment on column joined.alterations.day is 'day of the visit made to alter it';
comment on column joined.alterations.unseen is 'no export of the register has seen it yet';
