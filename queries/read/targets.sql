-- layer: read
-- makes: targets of units
-- grain: a row a unit, fuel, fire and stretch of days
-- reads: joined.targets, joined.unit_targets
-- why: what was asked of a unit on any day, and by whom
select
    units.unit_target_key, units.unit_key, units.fuel, units.fire::varchar as fire,
    nullif(units.from_day, date '0001-01-01') as from_day, units.until_day, targets.target_co2, targets.target_o2,
    targets.set_rich, targets.set_lean, targets.act_rich, targets.act_lean, units.longest_run_m, units.fan_pa,
    targets.origin
from joined.unit_targets as units
left join joined.targets as targets on units.target_key = targets.target_key
where units.unit_key >= ?::integer and units.unit_key < ?::integer
order by units.unit_target_key;
