-- layer: joined
-- makes: joined.verdicts
-- grain: a row a content of a key that several known lines state, the register of units excepted
-- reads: joined.given, joined.replaced
-- why: the latest export that states one content has the word; contents of a day that states several stand for nothing, and so do all where a content has no day
create table joined.verdicts as
with known as materialized (
    select given.key_hash, given.content_hash, given.export_day, given.place
    from joined.given as given
    anti join joined.replaced as replaced on given.file_key = replaced.file_key and given.line = replaced.line
    where given.record <> 'units' and given.known_from <= getvariable('as_of')
),

keys_stated_again as (
    select key_hash
    from known
    group by key_hash
    having count(*) > 1
),

stated_again as materialized (
    select known.key_hash, known.content_hash, known.export_day, known.place
    from known
    semi join keys_stated_again on known.key_hash = keys_stated_again.key_hash
),

contents as materialized (
    select key_hash, content_hash, min(place) as place, max(export_day) as last_day
    from stated_again
    group by key_hash, content_hash
),

compared_in_key as (
    select
        key_hash, content_hash, place, last_day,
        count(*) over in_key as contents,
        count(*) filter (last_day is null) over in_key as undated,
        min(place) over in_key as first_place,
        max(place) over in_key as last_place
    from contents
    window in_key as (partition by key_hash)
),

days_of_one_content as (
    select key_hash, export_day, min(content_hash) as content_hash
    from stated_again
    where export_day is not null
    group by key_hash, export_day
    having count(distinct content_hash) = 1
),

latest_word as (
    select key_hash, max(export_day) as day, arg_max(content_hash, export_day) as content_hash
    from days_of_one_content
    group by key_hash
),

verdicts as (
    select
        own.key_hash, own.content_hash, own.place, winner.place as winner_place,
        if(own.place = own.first_place, own.last_place, own.first_place) as rival_place,
        case
            when own.contents = 1 then 'accepted'
            when own.undated > 0 then 'doubtful'
            when own.content_hash = latest.content_hash then 'accepted'
            when own.last_day < latest.day then 'superseded'
            else 'doubtful'
        end::joined.outcome as verdict
    from compared_in_key as own
    left join latest_word as latest on own.key_hash = latest.key_hash
    left join contents as winner on latest.key_hash = winner.key_hash and latest.content_hash = winner.content_hash
)

select key_hash, content_hash, place, winner_place, rival_place, verdict
from verdicts;
