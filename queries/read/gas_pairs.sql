-- layer: read
-- makes: the pairs of gases that analyzers show, counted
-- grain: a row a source, analyzer, fuel and pair of values as exported
-- reads: joined.readings, joined.visits
-- why: whether one gas is computed from the other, told without reading every history
select
    visits.source, readings.analyzer, readings.fuel, readings.co2_percent, readings.o2_percent, readings.co2_decimals,
    readings.o2_decimals, count(*)::integer as times
from joined.readings as readings
inner join joined.visits as visits on readings.visit_key = visits.visit_key
where readings.condition <> 'between' and readings.co2_percent is not null and readings.o2_percent is not null
group by
    visits.source, readings.analyzer, readings.fuel, readings.co2_percent, readings.o2_percent, readings.co2_decimals,
    readings.o2_decimals
order by 1, 2, 3, 4, 5, 6, 7;
