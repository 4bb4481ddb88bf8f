comment on table joined.adjustments is 'a row a visit whose readings, or lines without values, say whether the burner was adjusted: one that says yes is enough; a single fire and a point count as high and as low';
comment on column joined.adjustments.visit_hash is 'digest of the key of the visit, joins with joined.visits';
comment on column joined.adjustments.adjusted_high is 'was the burner adjusted at high fire: yes, no; none where it is not recorded';
comment on column joined.adjustments.adjusted_low is 'was the burner adjusted at low fire: yes, no; none where it is not recorded';
