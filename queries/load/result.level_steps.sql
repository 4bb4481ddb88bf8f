-- layer: result
-- makes: rows of result.level_steps
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.level_steps (fire, area, day, points, se_points, z, comparisons, kept_share, words)
select
    incoming.fire, incoming.area, incoming.day, incoming.points, incoming.se_points, incoming.z,
    incoming.comparisons, incoming.kept_share, incoming.words
from main.incoming;
