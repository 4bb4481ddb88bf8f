-- layer: joined
-- makes: joined.settled
-- grain: a row a parsed line, the register of units excepted
-- reads: joined.given, joined.replaced, joined.verdicts
-- why: a line whose corrected copy came back is superseded by it; the first line of a content carries its verdict, further ones are duplicates of it; a line known only later waits as accepted
create table joined.settled as
with outcomes as (
    select
        given.file_key, given.line, given.record, given.key_hash, given.content_hash, given.export_day, given.known_from,
        case
            when replaced.by_place is not null then 'superseded'
            when verdicts.place is null or given.known_from > getvariable('as_of') then 'accepted'
            when given.place <> verdicts.place then 'duplicate'
            else verdicts.verdict
        end::joined.outcome as outcome,
        verdicts.place, coalesce(replaced.by_place, verdicts.winner_place) as winner_place, verdicts.rival_place
    from joined.given as given
    left join joined.verdicts as verdicts
        on given.key_hash = verdicts.key_hash and given.content_hash = verdicts.content_hash
    left join joined.replaced as replaced on given.file_key = replaced.file_key and given.line = replaced.line
    where given.record <> 'units'
),

settled as (
    select
        file_key, line, record, key_hash, content_hash, export_day, known_from, outcome,
        case outcome
            when 'duplicate' then place
            when 'superseded' then winner_place
            when 'doubtful' then rival_place
        end as other_place
    from outcomes
)

select file_key, line, record, key_hash, content_hash, export_day, known_from, outcome, other_place
from settled;
