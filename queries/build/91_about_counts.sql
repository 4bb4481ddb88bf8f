-- layer: about
-- makes: about.counts
-- grain: a row a stored table and a row a later load into one
-- reads: about.rows
-- why: what must be found when the file is opened
create table about.counts as
select relation, rows
from about.rows;
