-- layer: read
-- makes: units with the fuel and plant in force
-- grain: a row a unit
-- reads: about.build, joined.units, joined.fuels, joined.plants, joined.removals
-- why: a unit as it is on the as-of day
with fuels_in_force as (
    select fuels.unit_key, fuels.fuel
    from joined.fuels as fuels
    cross join about.build as build
    where coalesce(fuels.from_day <= build.as_of, true) and coalesce(fuels.until_day > build.as_of, true)
),

plants as (
    select unit_key, min(plant) as plant
    from joined.plants
    group by unit_key
)

select
    units.unit_key, units.serial, units.source, units.site, units.area, units.model_line, units.control, units.firing,
    units.state, fuels.fuel, coalesce(units.plant, plants.plant) as plant, units.input_kw, units.installed,
    units.state_from, removals.removed_day, units.first_day, units.altitude_m, units.latitude, units.longitude, units.in_register,
    units.has_conflict, units.carry, units.marks
from joined.units as units
left join fuels_in_force as fuels on units.unit_key = fuels.unit_key
left join plants on units.unit_key = plants.unit_key
left join joined.removals as removals on units.unit_key = removals.unit_key
where units.unit_key >= ?::integer and units.unit_key < ?::integer
order by units.unit_key;
