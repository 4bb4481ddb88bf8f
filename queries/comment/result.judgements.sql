comment on table result.judgements is 'a row a reading that is not simply used: what each reading is good for; a reading without a row is used';
comment on column result.judgements.unit_key is 'the unit, joins with joined.units';
comment on column result.judgements.origin is 'the line it comes from, as file:line';
comment on column result.judgements.fire is 'high, low, single or point';
comment on column result.judgements.condition is 'as found, between or as left';
comment on column result.judgements.use is 'what the reading is good for';
