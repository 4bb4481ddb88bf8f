comment on table result.findings is 'a row a finding: what the judgement of readings found, for lists of records and for the story of a unit';
comment on column result.findings.unit_key is 'the unit, joins with joined.units';
comment on column result.findings.fire is 'high, low, single or point';
comment on column result.findings.kind is 'kind of finding';
comment on column result.findings.origin is 'the line it comes from, as file:line';
comment on column result.findings.other_fuel is 'fuel that the readings speak of instead';
comment on column result.findings.is_open is 'somebody still has to look at it';
comment on column result.findings.words is 'the same in words';
