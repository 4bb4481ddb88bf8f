-- layer: read
-- makes: schema of the warehouse
-- grain: one row
-- reads: about.build
-- why: another schema's tables may mean something else
select schema
from about.build;
