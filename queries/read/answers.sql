-- layer: read
-- makes: answers about units
-- grain: a row a unit, day and answer
-- reads: joined.answers
-- why: a unit that was answered for moves to the foot of a list
select unit_key, day, until_day, answer
from joined.answers
where unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, day, answer;
