-- layer: read
-- makes: readings and changes that the others of their stretch contradict
-- grain: a row a reading removed or a cut
-- reads: result.unconfirmed
-- why: each may be a real jump or a mistake, and somebody must look
select
    unit_key, fire, action, origin, day, points, before_day, before_points, after_day, after_points, t, pass,
    today_out, worst_out, to_verify
from result.unconfirmed
where unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, fire, day, pass;
