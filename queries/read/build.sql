-- layer: read
-- makes: version that made the warehouse, and its as-of day
-- grain: one row
-- reads: about.build
-- why: the last thing written, and the day that the rows speak for
select version, as_of
from about.build;
