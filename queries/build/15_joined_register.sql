-- layer: joined
-- makes: joined.register
-- grain: a row a parsed line of the register of units
-- reads: joined.given, joined.replaced
-- why: each export of the register is the state of its day and supersedes none; only lines of one serial and one day can contradict each other
create table joined.register as
with known as (
    select given.key_hash, given.content_hash, given.export_day, given.place
    from joined.given as given
    anti join joined.replaced as replaced on given.file_key = replaced.file_key and given.line = replaced.line
    where given.record = 'units' and given.known_from <= getvariable('as_of')
),

contents as (
    select key_hash, export_day, content_hash, min(place) as place
    from known
    group by key_hash, export_day, content_hash
),

compared_in_day as (
    select
        key_hash, export_day, content_hash, place,
        count(*) over (partition by key_hash, export_day) as contents,
        min(place) over (partition by key_hash, export_day) as first_place,
        max(place) over (partition by key_hash, export_day) as last_place,
        min(place) filter (export_day is not null) over (partition by key_hash) as dated_place,
        min(place) filter (export_day is not null) over (partition by key_hash, content_hash) as same_dated_place
    from contents
),

verdicts as (
    select
        key_hash, export_day, content_hash,
        case
            when export_day is null and same_dated_place is not null then same_dated_place
            else place
        end as place,
        case
            when export_day is null and dated_place is not null then dated_place
            when place = first_place then last_place
            else first_place
        end as rival_place,
        contents > 1 or (export_day is null and dated_place is not null) as contradicted
    from compared_in_day
),

outcomes as (
    select
        given.file_key, given.line, given.record, given.key_hash, given.content_hash, given.export_day, given.known_from,
        case
            when replaced.by_place is not null then 'superseded'
            when verdicts.place is null or given.known_from > getvariable('as_of') then 'accepted'
            when given.place <> verdicts.place then 'duplicate'
            when verdicts.contradicted then 'doubtful'
            else 'accepted'
        end::joined.outcome as outcome,
        verdicts.place, verdicts.rival_place, replaced.by_place
    from joined.given as given
    left join verdicts
        on given.key_hash = verdicts.key_hash and given.content_hash = verdicts.content_hash
        and given.export_day is not distinct from verdicts.export_day
    left join joined.replaced as replaced on given.file_key = replaced.file_key and given.line = replaced.line
    where given.record = 'units'
)

select
    file_key, line, record, key_hash, content_hash, export_day, known_from, outcome,
    case outcome when 'duplicate' then place when 'doubtful' then rival_place when 'superseded' then by_place end as other_place
from outcomes;
