-- layer: joined
-- makes: joined.repeats
-- grain: a row a line of readings all of whose readings repeat those of another visit
-- reads: record.visits, record.readings, joined.files, joined.settled, joined.serials, joined.early
-- why: one reading keyed twice under two visits is no second measurement; equal values at two units are, and so may values be of which one cannot be read
create table joined.repeats as
with visits as (
    select
        visits.visit_row, serials.serial, visits.day,
        hash(files.source, coalesce(visits.visit_id, visits.day::varchar)) as visit_hash
    from record.visits as visits
    inner join joined.files as files on visits.file_key = files.file_key
    inner join joined.serials as serials on visits.serial = serials.written
),

days_of_several_visits as (
    select serial, day
    from visits
    group by serial, day
    having count(distinct visit_hash) > 1
),

readings_of_those_days as (
    select
        readings.file_key, readings.line, (files.file_rank << 32) | readings.line as place, readings.part,
        visits.visit_hash, visits.serial, visits.day, readings.fire, readings.rate_percent, readings.condition,
        readings.co2_percent, readings.o2_percent, readings.co_ppm, readings.co_limit, readings.flue_temp_c,
        readings.air_temp_c
    from record.readings as readings
    inner join visits on readings.visit_row = visits.visit_row
    semi join days_of_several_visits as days on visits.serial = days.serial and visits.day = days.day
    inner join joined.settled as settled on readings.file_key = settled.file_key and readings.line = settled.line
    inner join joined.files as files on readings.file_key = files.file_key
    anti join joined.early as early on readings.file_key = early.file_key and readings.line = early.line
    where settled.outcome = 'accepted' and settled.known_from <= getvariable('as_of')
        and not coalesce(contains(readings.marks, ':unreadable'), false)
),

first_of_equal as (
    select
        file_key, line, visit_hash,
        len(list_filter([co2_percent, o2_percent, co_ppm, flue_temp_c, air_temp_c], x -> x is not null)) >= 2 as enough,
        first_value(visit_hash) over equal as first_visit,
        first_value(place) over equal as first_place
    from readings_of_those_days
    window equal as (
        partition by
            serial, day, fire, rate_percent, condition, co2_percent, o2_percent, co_ppm, co_limit, flue_temp_c,
            air_temp_c
        order by place, part
    )
),

whole_lines as (
    select file_key, line, min(first_place) as other_place
    from first_of_equal
    group by file_key, line
    having bool_and(enough and visit_hash <> first_visit)
)

select file_key, line, other_place
from whole_lines
order by file_key, line;
