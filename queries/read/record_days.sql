-- layer: read
-- makes: the days of the records of each source
-- grain: a row a source and day
-- reads: about.build, joined.visits
-- why: the rhythm in which a source writes, up to the as-of day; a factory tests when it builds, which is no rhythm
select distinct source, day
from joined.visits
where day <= (select as_of from about.build) and source is not null
    and reason is distinct from 'factory test'
order by source, day;
