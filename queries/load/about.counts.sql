-- layer: about
-- makes: rows of about.counts
-- grain: one row
-- reads: nothing
-- why: rows loaded after the building count as well
insert into about.counts (relation, rows)
values (?, ?);
