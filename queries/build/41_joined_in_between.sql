-- layer: joined
-- makes: joined.in_between
-- grain: a row a standing reading that is neither the first as found nor the last as left of its visit and fire (renamed between), or one of several that may be the first as found (tied)
-- reads: record.readings, joined.files, joined.lines, joined.visit_keys, joined.single_fires
-- why: of several readings at one fire of a visit the first as found and the last as left keep their names; they follow time, repetition and the place in the exports. Which of several as-found readings was the first no place in an export tells: those without a time, or with the earliest one, are tied and all keep their name
create table joined.in_between as
with lines_apart as (
    select file_key, line
    from joined.lines
    where record = 'readings' and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

standing as materialized (
    select
        readings.rowid as reading_row, keys.visit_key, readings.condition,
        if(single.unit_key is null, readings.fire, 'single'::record.fire) as fire,
        if(readings.fire = 'point', readings.rate_percent, null) as point_rate
    from record.readings as readings
    inner join joined.visit_keys as keys on readings.visit_row = keys.visit_row
    anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
    left join joined.single_fires as single on keys.unit_key = single.unit_key
    where readings.condition <> 'between'
),

several as (
    select visit_key, fire, condition, point_rate
    from standing
    group by visit_key, fire, condition, point_rate
    having count(*) > 1
),

numbered as (
    select
        standing.reading_row, standing.condition,
        standing.condition = 'as found' and (readings.minute is null or readings.minute = min(readings.minute) over (
            partition by standing.visit_key, standing.fire, standing.condition, standing.point_rate
        )) as maybe_first,
        standing.visit_key, standing.fire, standing.point_rate,
        row_number() over (
            partition by standing.visit_key, standing.fire, standing.condition, standing.point_rate
            order by readings.minute, readings.occurrence, files.file_rank, readings.line, readings.part
        ) as number,
        count(*) over (
            partition by standing.visit_key, standing.fire, standing.condition, standing.point_rate
        ) as readings
    from standing
    semi join several
        on standing.visit_key = several.visit_key and standing.fire = several.fire
        and standing.condition = several.condition
        and standing.point_rate is not distinct from several.point_rate
    inner join record.readings as readings on standing.reading_row = readings.rowid
    inner join joined.files as files on readings.file_key = files.file_key
),

compared as (
    select
        reading_row,
        maybe_first and count(*) filter (maybe_first) over (
            partition by visit_key, fire, condition, point_rate
        ) > 1 as tied,
        if(condition = 'as found', number > 1, number < readings) as in_between
    from numbered
)

select reading_row, in_between and not tied as renamed, tied
from compared
where in_between or tied
order by reading_row;
