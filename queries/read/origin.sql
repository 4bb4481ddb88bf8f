-- layer: read
-- makes: whose the warehouse is: digest of the settings it was built by, publication it goes with
-- grain: one row
-- reads: about.build
-- why: what another configuration or another night made must not be read for this one
select settings, publication
from about.build;
