comment on view joined.unit_periods is 'a row a unit and stretch of days in which one line of the register describes it: a register with a row a validity period says which model line, control and input a unit had on the day of a visit; any other says what it has, and its newest line holds for all days';
comment on column joined.unit_periods.unit_key is 'the unit, joins with joined.units';
comment on column joined.unit_periods.from_day is 'first day it is in force; none: from the beginning';
comment on column joined.unit_periods.until_day is 'first day it is no longer in force; none: to this day';
comment on column joined.unit_periods.model_line is 'units set by the same instructions';
comment on column joined.unit_periods.control is 'kind of burner control';
comment on column joined.unit_periods.firing is 'on-off, staged or modulating';
comment on column joined.unit_periods.input_kw is 'rated input (kW)';
