-- layer: check
-- makes: keys that are there twice
-- grain: a row a relation and key
-- reads: source.files, record.visits, joined.units, joined.states, joined.vent_runs, joined.fuels, joined.targets, joined.unit_targets, joined.calibrations, joined.visits
-- why: the tables carry no unique index, which would double the time of loading; so uniqueness is asked for
with keys as (
    select 'source.files' as relation, hash(file_key) as key from source.files
    union all
    select 'record.visits', hash(visit_row) from record.visits
    union all
    select 'joined.units', hash(serial) from joined.units
    union all
    select 'joined.states', hash(unit_key, state_day) from joined.states
    union all
    select 'joined.vent_runs', hash(unit_key, from_day) from joined.vent_runs
    union all
    select 'joined.fuels', hash(unit_key, from_day) from joined.fuels
    union all
    select 'joined.targets', hash(precedence, serial, model_line, fuel, fire, from_day) from joined.targets
    union all
    select 'joined.unit_targets', hash(unit_key, fuel, fire, from_day) from joined.unit_targets
    union all
    select 'joined.calibrations', hash(analyzer, calibrated) from joined.calibrations
    union all
    select 'joined.visits', visit_hash from joined.visits
)

select relation, key, count(*) as times
from keys
group by relation, key
having count(*) > 1
order by relation, key;
