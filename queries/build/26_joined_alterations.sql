-- layer: joined
-- makes: joined.alterations
-- grain: a row a unit, subject (vent, fuel) and day of a visit made to alter it
-- reads: record.visits, joined.visit_rows, joined.units, joined.plants, joined.states
-- why: such a visit tells the day that two exports of the register leave open, for every boiler of a common vent; one after the newest export leaves the state unknown
create table joined.alterations as
with own_visits as (
    select distinct
        units.unit_key, visits.day, if(visits.reason = 'fuel conversion', 'fuel', 'vent') as subject
    from record.visits as visits
    inner join joined.visit_rows as rows on visits.visit_row = rows.visit_row
    inner join joined.units as units on rows.serial = units.serial
    where rows.describes and visits.reason in ('vent altered', 'fuel conversion')
),

visits as (
    select unit_key, day, subject from own_visits
    union
    select sharing.unit_key, own_visits.day, own_visits.subject
    from own_visits
    inner join joined.plants as own on own_visits.unit_key = own.unit_key and own.common = 'vent'
    inner join joined.plants as sharing
        on own.plant = sharing.plant and own.site is not distinct from sharing.site and sharing.common = 'vent'
    where own_visits.subject = 'vent'
),

newest_states as (
    select unit_key, max(state_day) as state_day
    from joined.states
    group by unit_key
)

select
    visits.unit_key, visits.subject, visits.day,
    visits.day > newest.state_day and newest.state_day > date '0001-01-01' as unseen
from visits
left join newest_states as newest on visits.unit_key = newest.unit_key
order by visits.unit_key, visits.subject, visits.day;
