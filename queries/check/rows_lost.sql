-- layer: check
-- makes: tables that do not hold the rows stored in them
-- grain: a row a table
-- reads: about.rows, about.counts
-- why: what was written must be what is there
with stored as (
    select relation, sum(rows)::bigint as rows
    from about.counts
    group by relation
)

select stored.relation, stored.rows as stored, coalesce(found.rows, 0) as found
from stored
left join about.rows as found on stored.relation = found.relation
where stored.rows is distinct from found.rows
order by stored.relation;
