comment on table joined.fuels is 'a row a unit and period of one fuel: the fuel from a day on (null: from the first; a fuel of null is not known); unsure_after is the last day the period is sure of';
comment on column joined.fuels.unit_key is 'the unit, joins with joined.units';
comment on column joined.fuels.from_day is 'first day it is in force; none: from the beginning';
comment on column joined.fuels.until_day is 'first day it is no longer in force; none: to this day';
comment on column joined.fuels.uncertain_from is 'first day on which the change may have been';
comment on column joined.fuels.unsure_after is 'last day it is sure of';
comment on column joined.fuels.pinned is 'the day is told by the one visit made for it';
comment on column joined.fuels.fuel is 'fuel in force, none where it is not known';
