-- layer: joined
-- makes: joined.reading_values
-- grain: a row a standing reading, in the order of unit, day, time, visit, fire and taking
-- reads: record.visits, record.readings, joined.files, joined.lines, joined.visit_keys, joined.single_fires, joined.in_between
-- why: stored in order, so that one unit's readings are found without reading the rest; what belongs to the visit stays there, but the analyzer of a row that does not describe it
create table joined.reading_values as
with lines_apart as (
    select file_key, line
    from joined.lines
    where record = 'readings' and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

analyzers_apart as (
    select keys.visit_row, own.analyzer
    from joined.visit_keys as keys
    inner join record.visits as own on keys.visit_row = own.visit_row
    where not keys.describes and own.analyzer is not null
)

select
    keys.unit_key, keys.visit_key, readings.file_key, readings.line, readings.part, readings.minute,
    if(single.unit_key is null, readings.fire, 'single'::record.fire) as fire, readings.rate_percent,
    if(coalesce(several.renamed, false), 'between'::record.condition, readings.condition) as condition,
    readings.condition as recorded_condition, readings.co2_percent, readings.o2_percent, readings.co_ppm,
    readings.co_basis, readings.co_reference_o2, readings.co_limit, readings.flue_temp_c, readings.air_temp_c,
    readings.air_temp_at, readings.minutes_firing, readings.supply_pa, readings.manifold_pa, readings.fan_speed_rpm,
    readings.flame_signal_ua, readings.draft_pa, readings.co2_decimals, readings.o2_decimals, readings.co_decimals,
    readings.flue_decimals, readings.air_decimals,
    coalesce(readings.analyzer, analyzers_apart.analyzer) as analyzer,
    nullif(concat_ws(' ', readings.marks, if(single.unit_key is not null and readings.fire = 'high', 'fire:single-by-target', null),
        if(several.tied, 'as-found:order-unknown', null)), '') as marks
from record.readings as readings
inner join joined.visit_keys as keys on readings.visit_row = keys.visit_row
inner join joined.files as files on readings.file_key = files.file_key
anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
left join analyzers_apart on readings.visit_row = analyzers_apart.visit_row
left join joined.in_between as several on readings.rowid = several.reading_row
left join joined.single_fires as single on keys.unit_key = single.unit_key
order by
    keys.visit_key, fire, if(readings.fire = 'point', readings.rate_percent, null), readings.condition,
    readings.minute, readings.occurrence, files.file_rank, readings.line, readings.part;
