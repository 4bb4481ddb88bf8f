-- layer: read
-- makes: lines of the register whose second id names two units, or none that anything on record names
-- grain: a row a line
-- reads: about.build, source.files, record.units, record.visits, joined.lines, joined.serials
-- why: such an id merges nothing and names nobody; unused ones are told where records name units by second ids
with second_ids as (
    select units.file_key, files.name as file, units.line, units.serial, units.second_id
    from record.units as units
    inner join joined.lines as lines on units.file_key = lines.file_key and units.line = lines.line
    inner join source.files as files on units.file_key = files.file_key
    where units.second_id is not null and lines.outcome = 'accepted' and lines.known_from <= (select as_of from about.build)
),

shared as (
    select second_id, string_agg(distinct serial, ' and ' order by serial) as serials
    from second_ids
    group by second_id
    having count(distinct serial) > 1
),

visited as (
    select distinct serials.serial
    from record.visits as visits
    inner join joined.serials as serials on visits.serial = serials.written
    where serials.serial is not null
),

in_use as (
    select count(*) > 0 as yes
    from joined.serials
    where how = 'second id'
)

select
    given.file_key, given.file, given.line, 'accepted' as outcome, given.second_id as value,
    if(shared.serials is null, 'second-id-unused', 'second-id-shared') as reason, shared.serials as message, given.serial
from second_ids as given
left join shared on given.second_id = shared.second_id
left join visited on given.serial = visited.serial
where shared.serials is not null or (visited.serial is null and (select yes from in_use))
order by given.file_key, given.line;
