-- layer: joined
-- makes: joined.lines
-- grain: a row a parsed line of a file
-- reads: joined.files, joined.settled, joined.register, joined.early, joined.repeats
-- why: every line ends in one outcome, and one that does not stand names the line that does or that it contradicts
create view joined.lines as
with every_line as (
    select file_key, line, record, key_hash, content_hash, export_day, known_from, outcome, other_place
    from joined.settled
    union all
    select file_key, line, record, key_hash, content_hash, export_day, known_from, outcome, other_place
    from joined.register
),

early_and_repeats_apart as (
    select
        every_line.file_key, every_line.line, every_line.record, every_line.key_hash, every_line.content_hash,
        every_line.export_day, every_line.known_from,
        case
            when early.line is not null then 'set aside'
            when repeats.line is not null then 'doubtful'
            else every_line.outcome
        end::joined.outcome as outcome,
        coalesce(repeats.other_place, every_line.other_place) as other_place,
        case
            when early.line is not null then early.reason
            when repeats.line is not null then 'likely-duplicate'
            when every_line.outcome = 'doubtful' then 'conflicting-duplicate'
        end as reason
    from every_line
    left join joined.early as early
        on every_line.file_key = early.file_key and every_line.line = early.line
    left join joined.repeats as repeats
        on every_line.file_key = repeats.file_key and every_line.line = repeats.line
),

named as (
    select
        own.file_key, own.line, own.record, own.key_hash, own.content_hash, own.export_day, own.known_from, own.outcome,
        other.file_key as other_file_key, (own.other_place & 4294967295)::integer as other_line, own.reason
    from early_and_repeats_apart as own
    left join joined.files as other on own.other_place >> 32 = other.file_rank
)

select
    file_key, line, record, key_hash, content_hash, export_day, known_from, outcome, other_file_key, other_line, reason
from named;
