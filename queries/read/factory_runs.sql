-- layer: read
-- makes: the vent runs that model lines were set on at the factory
-- grain: a row a model line and fuel
-- reads: joined.targets
-- why: a unit on another run was not set for it, and the newest entry that says the run holds
select model_line, fuel, arg_max(factory_run_m, coalesce(from_day, date '0001-01-01')) as factory_run_m
from joined.targets
where model_line is not null and factory_run_m is not null
group by model_line, fuel
order by model_line, fuel nulls first;
