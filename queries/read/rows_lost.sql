-- layer: read
-- makes: tables whose rows are not those that were stored
-- grain: a row a table
-- reads: about.rows, about.counts
-- why: a copy made without the log beside it opens and is not whole
with stored as (
    select relation, sum(rows)::bigint as rows
    from about.counts
    group by relation
)

select stored.relation, stored.rows as rows_stored, coalesce(found.rows, 0) as rows_found
from stored
left join about.rows as found on stored.relation = found.relation
where stored.rows is distinct from found.rows
order by stored.relation;
