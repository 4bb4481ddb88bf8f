comment on table joined.removals is 'a row a unit that was taken out and installed again: such a unit starts anew: nothing of before its removal speaks for it. One that an earlier register called removed, and the newest neither installs nor puts into service later, was never taken out';
comment on column joined.removals.unit_key is 'the unit, joins with joined.units';
comment on column joined.removals.removed_day is 'day it was taken out before it was installed again';
