-- layer: read
-- makes: the fuels of the fleet
-- grain: a row a fuel
-- reads: joined.fuels
-- why: a reading is compared with the fuels the fleet burns, now or before
select distinct fuel
from joined.fuels
where fuel is not null
order by fuel;
