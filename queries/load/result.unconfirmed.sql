-- layer: result
-- makes: rows of result.unconfirmed
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.unconfirmed (
    unit_key, fire, action, origin, day, points, before_day, before_points, after_day, after_points, t, pass,
    today_out, worst_out, to_verify
)
select
    incoming.unit_key, incoming.fire, incoming.action, incoming.origin, incoming.day, incoming.points,
    incoming.before_day, incoming.before_points, incoming.after_day, incoming.after_points, incoming.t,
    incoming.pass, incoming.today_out, incoming.worst_out, incoming.to_verify
from main.incoming;
