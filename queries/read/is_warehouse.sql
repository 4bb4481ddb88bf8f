-- layer: read
-- makes: whether the file holds the table with which a warehouse of this program ends
-- grain: one row
-- reads: nothing
-- why: somebody else's database must not be taken for one that can be made anew
select count(*) > 0
from pragma_storage_info('about.build');
