-- layer: read
-- makes: version and as-of day of the warehouse
-- grain: one row
-- reads: about.build
-- why: another version's tables may mean something else
select version, as_of
from about.build;
