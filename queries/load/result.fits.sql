-- layer: result
-- makes: rows of result.fits
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.fits (
    fire, how, ended, sigma_points, ratio_q, ratio_tau, ratio_b1, ratio_b2, crit, units, segments,
    readings, differences, unconfirmed, notes
)
select
    incoming.fire, incoming.how, incoming.ended, incoming.sigma_points, incoming.ratio_q,
    incoming.ratio_tau, incoming.ratio_b1, incoming.ratio_b2, incoming.crit, incoming.units,
    incoming.segments, incoming.readings, incoming.differences, incoming.unconfirmed, incoming.notes
from main.incoming;
