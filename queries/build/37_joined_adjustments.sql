-- layer: joined
-- makes: joined.adjustments
-- grain: a row a visit whose readings, or lines without values, say whether the burner was adjusted
-- reads: record.visits, record.readings, joined.lines, joined.visit_rows
-- why: one that says yes is enough; a single fire and a point count as high and as low
create table joined.adjustments as
with lines_apart as materialized (
    select file_key, line
    from joined.lines
    where record in ('readings', 'visits') and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

said as (
    select rows.visit_hash, readings.fire, readings.adjusted
    from record.readings as readings
    inner join joined.visit_rows as rows on readings.visit_row = rows.visit_row
    anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
    where readings.adjusted is not null
    union all
    select rows.visit_hash, unnest(['high', 'low'])::record.fire, unnest([visits.adjusted_high, visits.adjusted_low])
    from record.visits as visits
    inner join joined.visit_rows as rows on visits.visit_row = rows.visit_row
    anti join lines_apart on visits.file_key = lines_apart.file_key and visits.line = lines_apart.line
    anti join record.readings as readings on visits.visit_row = readings.visit_row
    where coalesce(visits.adjusted_high, visits.adjusted_low) is not null
)

select
    visit_hash,
    min(adjusted) filter (fire <> 'low') as adjusted_high,
    min(adjusted) filter (fire <> 'high') as adjusted_low
from said
group by visit_hash
order by visit_hash;
