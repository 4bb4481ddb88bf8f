-- layer: joined
-- makes: joined.readings_in_order
-- grain: a row a standing reading
-- reads: record.readings, joined.files, joined.lines, joined.visit_keys
-- why: at one fire of a visit the first reading as found and the last as left keep their names, those between them do not; readings of one condition follow time, repetition and the place in the exports
create table joined.readings_in_order as
with lines_apart as (
    select file_key, line
    from joined.lines
    where record = 'readings' and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

standing as (
    select
        readings.rowid as reading_row, keys.unit_key, keys.visit_key, readings.fire, readings.condition, readings.minute,
        readings.occurrence, (files.file_rank << 32) | readings.line as place, readings.part,
        if(readings.fire = 'point', readings.rate_percent, null) as point_rate
    from record.readings as readings
    inner join joined.visit_keys as keys on readings.visit_row = keys.visit_row
    inner join joined.files as files on readings.file_key = files.file_key
    anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
),

numbered as (
    select
        reading_row, unit_key, visit_key, condition,
        row_number() over (
            partition by visit_key order by fire, point_rate, condition, minute, occurrence, place, part
        ) as taken,
        row_number() over (
            partition by visit_key, fire, point_rate, condition order by minute, occurrence, place, part
        ) as number,
        count(*) over (partition by visit_key, fire, point_rate, condition) as readings
    from standing
)

select
    reading_row, unit_key, visit_key, taken::smallint as taken, condition as recorded_condition,
    case
        when condition = 'as found' and number > 1 then 'between'
        when condition = 'as left' and number < readings then 'between'
        else condition
    end::record.condition as condition
from numbered;
