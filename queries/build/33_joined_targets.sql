-- layer: joined
-- makes: joined.targets
-- grain: a row a declared target of a scope (serial or model line, fuel, fire), half-open in time
-- reads: source.files, record.model_lines, joined.files, joined.lines, joined.serials
-- why: an entry of the configuration for a serial goes before one for a model line, that before an exported line, the narrower before the wider; the least precedence number wins
create table joined.targets as
with entries as (
    select
        given.rowid as entry, 4611686018427387904 + given.line as place, coalesce(serials.serial, given.serial) as serial,
        case when given.serial is not null then 0 when given.model_line is not null then 4 else 8 end as level,
        'configuration' as origin
    from record.model_lines as given
    left join joined.serials as serials on given.serial = serials.written
    where given.file_key = -1
    union all
    select
        given.rowid, (files.file_rank << 32) | given.line, null,
        if(given.model_line is not null, 12, 16), concat(source.name, ':', given.line)
    from record.model_lines as given
    inner join joined.lines as lines on given.file_key = lines.file_key and given.line = lines.line
    inner join joined.files as files on given.file_key = files.file_key
    inner join source.files as source on given.file_key = source.file_key
    where lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of')
),

scoped as (
    select
        (entries.level + if(given.fuel is null, 2, 0) + if(given.fire is null, 1, 0))::tinyint as precedence,
        entries.serial, given.model_line, given.fuel, given.fire, given.valid_from as from_day, entries.origin,
        given.target_co2, given.target_o2, given.set_rich, given.set_lean, given.act_rich, given.act_lean,
        given.longest_run_m, given.fan_pa, given.factory_run_m, given.factory_gas, given.factory_altitude_m,
        entries.place, entries.entry,
        row_number() over (
            partition by precedence, entries.serial, given.model_line, given.fuel, given.fire, given.valid_from
            order by entries.place desc, entries.entry desc
        ) as newness
    from entries
    inner join record.model_lines as given on entries.entry = given.rowid
)

select
    row_number() over (order by scoped.place, scoped.entry)::integer as target_key,
    scoped.precedence, scoped.serial, scoped.model_line, scoped.fuel, scoped.fire, scoped.from_day,
    lead(scoped.from_day) over (
        partition by scoped.precedence, scoped.serial, scoped.model_line, scoped.fuel, scoped.fire
        order by scoped.from_day nulls first
    ) as until_day,
    scoped.target_co2, scoped.target_o2, scoped.set_rich, scoped.set_lean, scoped.act_rich, scoped.act_lean,
    scoped.longest_run_m, scoped.fan_pa, scoped.factory_run_m, scoped.factory_gas, scoped.factory_altitude_m,
    scoped.origin
from scoped
where scoped.newness = 1
order by target_key;
