-- layer: joined
-- makes: joined.unit_targets
-- grain: a row a unit, fuel, fire and stretch of days without a change of target
-- reads: joined.units, joined.fuels, joined.targets, joined.unit_periods
-- why: the target in force by precedence, worked out once and not for each reading; what the model line says of the run comes from the first entry that says it
create table joined.unit_targets as
with unit_fuels as (
    select distinct unit_key, fuel from joined.fuels
    union
    select units.unit_key, null from joined.units as units anti join joined.fuels as fuels on units.unit_key = fuels.unit_key
),

described as materialized (
    select
        unit_fuels.unit_key, units.serial, periods.model_line, unit_fuels.fuel,
        coalesce(periods.from_day, date '0001-01-01') as from_day, coalesce(periods.until_day, date '9999-12-31') as until_day
    from unit_fuels inner join joined.units as units on unit_fuels.unit_key = units.unit_key
    inner join joined.unit_periods as periods on unit_fuels.unit_key = periods.unit_key
),

in_scope as (
    select units.unit_key, units.fuel, units.from_day, units.until_day, targets.target_key
    from described as units
    inner join joined.targets as targets on units.serial = targets.serial
    where targets.model_line is null or targets.model_line = units.model_line
    union all
    select units.unit_key, units.fuel, units.from_day, units.until_day, targets.target_key
    from described as units
    inner join joined.targets as targets on units.model_line = targets.model_line
    where targets.serial is null
    union all
    select units.unit_key, units.fuel, units.from_day, units.until_day, targets.target_key
    from described as units
    cross join joined.targets as targets
    where targets.serial is null and targets.model_line is null
),

fires as (
    select unnest(enum_range(null::record.fire)) as fire
),

applied as materialized (
    select
        in_scope.unit_key, in_scope.fuel, fires.fire, targets.target_key, targets.precedence, targets.longest_run_m,
        targets.fan_pa, targets.target_co2 is not null or targets.target_o2 is not null as declared,
        greatest(coalesce(targets.from_day, date '0001-01-01'), in_scope.from_day) as from_day,
        least(coalesce(targets.until_day, date '9999-12-31'), in_scope.until_day) as until_day
    from in_scope
    inner join joined.targets as targets on in_scope.target_key = targets.target_key
    inner join fires on targets.fire is null or targets.fire = fires.fire
    where (targets.fuel is null or targets.fuel = in_scope.fuel)
        and coalesce(targets.from_day < in_scope.until_day, true) and coalesce(in_scope.from_day < targets.until_day, true)
),

turning_days as (
    select unit_key, fuel, fire, from_day from applied
    union
    select unit_key, fuel, fire, until_day from applied where until_day < date '9999-12-31'
),

in_force as (
    select
        days.unit_key, days.fuel, days.fire, days.from_day,
        arg_min(applied.target_key, applied.precedence) filter (applied.declared) as target_key,
        arg_min(applied.longest_run_m, applied.precedence) as longest_run_m,
        arg_min(applied.fan_pa, applied.precedence) as fan_pa
    from turning_days as days
    inner join applied
        on days.unit_key = applied.unit_key and days.fuel is not distinct from applied.fuel
        and days.fire = applied.fire and days.from_day >= applied.from_day and days.from_day < applied.until_day
    group by days.unit_key, days.fuel, days.fire, days.from_day
)

select
    row_number() over (order by unit_key, fuel nulls first, fire, from_day)::integer as unit_target_key,
    unit_key, fuel, fire, from_day,
    lead(from_day) over (partition by unit_key, fuel, fire order by from_day) as until_day,
    target_key, longest_run_m, fan_pa
from in_force
order by unit_target_key;
