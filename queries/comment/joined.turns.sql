comment on table joined.turns is 'a row a unit, subject (vent, fuel) and day of a state that contradicts the one before: a blank contradicts nothing, and lengths that agree to the centimetre (diameters to the millimetre) are the same in other units of measure; another place is another run, whatever it measures: place_only where nothing else of it changed, so that nothing tells that it was recorded there; last_day is the last day on which the earlier state was stated. A boiler that has the serial anew has its own run and fuel from its install day';
comment on column joined.turns.unit_key is 'the unit, joins with joined.units';
comment on column joined.turns.subject is 'vent or fuel';
comment on column joined.turns.state_day is 'day of the export that states it';
comment on column joined.turns.last_day is 'last day the earlier state was stated';
comment on column joined.turns.place_only is 'only the place changed';
comment on column joined.turns.pinned_day is 'day told by a visit made for it';
