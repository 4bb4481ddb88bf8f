comment on table joined.answers is 'a row a unit, day and answer: a reading is taken with the analyzer as it was set at its latest calibration on or before the day; one that left it as found changes nothing; what persons decided about units that stood on a list';
comment on column joined.answers.unit_key is 'the unit, joins with joined.units';
comment on column joined.answers.day is 'day of the answer';
comment on column joined.answers.answer is 'what a person decided about the unit';
comment on column joined.answers.until_day is 'first day it is no longer in force; none: to this day';
