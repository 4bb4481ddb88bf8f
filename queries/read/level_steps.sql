-- layer: read
-- makes: the steps of the level that are suspected
-- grain: a row a fire and area
-- reads: result.level_steps
-- why: a step is listed, never added by itself
select fire, area, day, points, se_points, z, comparisons, kept_share, words
from result.level_steps
order by fire, area;
