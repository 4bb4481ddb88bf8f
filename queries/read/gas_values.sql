-- layer: read
-- makes: the gas values that sources show, counted
-- grain: a row a source, gas and value
-- reads: joined.readings, joined.visits
-- why: the steps of a source's display, told without reading every history
select joined.visits.source, 'co2' as gas, joined.readings.co2_percent as percent, count(*)::integer as times
from joined.readings
inner join joined.visits on joined.readings.visit_key = joined.visits.visit_key
where joined.readings.co2_percent is not null
group by joined.visits.source, joined.readings.co2_percent
union all
select joined.visits.source, 'o2' as gas, joined.readings.o2_percent as percent, count(*)::integer as times
from joined.readings
inner join joined.visits on joined.readings.visit_key = joined.visits.visit_key
where joined.readings.o2_percent is not null
group by joined.visits.source, joined.readings.o2_percent
order by 1, 2, 3;
