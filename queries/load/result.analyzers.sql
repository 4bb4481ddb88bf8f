-- layer: result
-- makes: rows of result.analyzers
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.analyzers (
    fire, analyzer, stand_in, period, calibrated, bias_points, sd_points, comparisons, component
)
select
    incoming.fire, incoming.analyzer, incoming.stand_in, incoming.period, incoming.calibrated,
    incoming.bias_points, incoming.sd_points, incoming.comparisons, incoming.component
from main.incoming;
