-- layer: read
-- makes: how the fits of the fleet ended
-- grain: a row a fire
-- reads: result.fits
-- why: a study takes up the fit that a night made instead of searching once more
select
    fire, how, ended, sigma_points, ratio_q, ratio_tau, ratio_b1, ratio_b2, crit, units, segments, readings,
    differences, unconfirmed, notes
from result.fits
order by fire;
