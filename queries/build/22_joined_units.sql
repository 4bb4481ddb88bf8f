-- layer: joined
-- makes: joined.units
-- grain: a row a unit, in the register or not
-- reads: record.visits, record.units, joined.files, joined.register, joined.damaged_units, joined.unused_co, joined.visit_rows
-- why: the attributes of each unit on the as-of day, from the newest register line that stands; a serial outside the register is a unit of its own, and so is one that only lines which take no part name: of a readable CO, or of the newest register; one that visits without readings alone name is none
create table joined.units as
with register_lines as materialized (
    select
        units.serial, units.file_key, units.line, register.outcome,
        row_number() over (
            partition by units.serial, register.outcome
            order by register.export_day desc nulls last, coalesce(units.valid_from <= getvariable('as_of'), true) desc,
                coalesce(units.valid_to >= getvariable('as_of'), true) desc, units.valid_from desc, files.file_rank desc, units.line desc
        ) as newness,
        register.export_day, files.source, units.installed, units.model_line
    from record.units as units
    inner join joined.register as register on units.file_key = register.file_key and units.line = register.line
    inner join joined.files as files on units.file_key = files.file_key
    where register.known_from <= getvariable('as_of')
),

newest as (select serial, file_key, line, export_day from register_lines where outcome = 'accepted' and newness = 1),

contradicted as (select serial, export_day from register_lines where outcome = 'doubtful' and newness = 1),
by_source as (
    select serial, source, arg_min(installed, newness) as installed, arg_min(model_line, newness) as model_line
    from register_lines
    where outcome = 'accepted'
    group by serial, source
),

of_two_units as (
    select serial from by_source group by serial having count(distinct installed) > 1 or count(distinct model_line) > 1
),

seen as materialized (
    select
        rows.serial, min(visits.day) filter (rows.describes) as first_day,
        arg_min(rows.source, visits.day) filter (rows.describes) as source,
        bool_or(rows.how = 'letter case') as letter_case, bool_or(rows.how = 'second id') as second_id,
        bool_or(files.record = 'readings') as by_readings
    from joined.visit_rows as rows
    inner join record.visits as visits on rows.visit_row = visits.visit_row
    inner join joined.files as files on visits.file_key = files.file_key
    group by rows.serial
),

every_serial as (
    select serial from register_lines union select serial from seen where by_readings union select serial from joined.damaged_units union
    select serial from joined.unused_co where serial is not null and coalesce(co_ppm::varchar, co_limit) is not null
),

units as (
    select
        row_number() over (order by every_serial.serial)::integer as unit_key,
        every_serial.serial, newest.serial is not null or contradicted.serial is not null as in_register,
        newest.file_key, newest.line, coalesce(files.source, seen.source) as source, seen.first_day,
        of_two_units.serial is not null or contradicted.serial is not null
        and coalesce(contradicted.export_day >= newest.export_day, true) as has_conflict,
        coalesce(seen.letter_case, false) as letter_case, coalesce(seen.second_id, false) as second_id
    from every_serial
    left join newest on every_serial.serial = newest.serial
    left join contradicted on every_serial.serial = contradicted.serial
    left join of_two_units on every_serial.serial = of_two_units.serial
    left join seen on every_serial.serial = seen.serial
    left join joined.files as files on newest.file_key = files.file_key
)

select
    units.unit_key, units.serial, units.in_register, units.source, units.first_day, units.has_conflict, given.site, given.area,
    given.model_line, given.control, given.firing, given.input_kw, given.installed,
    if(given.removed <= getvariable('as_of'), 'removed', given.state) as state,
    if(given.removed <= getvariable('as_of'), given.removed, given.state_from) as state_from, given.altitude_m,
    given.latitude, given.longitude, given.plant, given.carry,
    nullif(concat_ws(' ', given.marks, if(units.in_register, null, 'not-in-register'), if(units.letter_case, 'serial:letter-case', null),
        if(units.second_id, 'serial:second-id', null)), '') as marks
from units
left join record.units as given on units.file_key = given.file_key and units.line = given.line
order by units.unit_key;
