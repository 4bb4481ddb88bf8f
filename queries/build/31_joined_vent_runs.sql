-- layer: joined
-- makes: joined.vent_runs
-- grain: a row a unit and vent run, numbered from 0 in order of time
-- reads: record.units, joined.states, joined.stretches
-- why: the vent and combustion-air configuration from a day on (null: from the first), as last stated within the run, nothing where the unit moved and no vent run was stated for the new place; unsure_after is the last day the run is sure of
create table joined.vent_runs as
with runs as (
    select
        unit_key, from_day, until_day, uncertain_from, unsure_after, pinned,
        if(unmeasured, null, first_state) as first_state, last_state
    from joined.stretches
    where subject = 'vent'
),

stated as (
    select
        runs.unit_key, runs.from_day, runs.until_day, runs.uncertain_from, runs.unsure_after, runs.pinned,
        arg_max(given.vent_diameter_m, states.state_day) as vent_diameter_m,
        arg_max(given.vent_length_m, states.state_day) as vent_length_m,
        arg_max(given.vent_rise_m, states.state_day) as vent_rise_m,
        arg_max(given.elbows_90, states.state_day) as elbows_90,
        arg_max(given.elbows_45, states.state_day) as elbows_45,
        arg_max(given.terminal, states.state_day) as terminal,
        arg_max(given.material, states.state_day) as material,
        arg_max(given.air_from, states.state_day) as air_from,
        arg_max(given.intake_diameter_m, states.state_day) as intake_diameter_m,
        arg_max(given.intake_length_m, states.state_day) as intake_length_m,
        arg_max(given.intake_elbows_90, states.state_day) as intake_elbows_90,
        arg_max(given.intake_elbows_45, states.state_day) as intake_elbows_45,
        arg_max(given.common_vent, states.state_day) as common_vent
    from runs
    left join joined.states as states
        on runs.unit_key = states.unit_key and states.state_day between runs.first_state and runs.last_state
    left join record.units as given on states.file_key = given.file_key and states.line = given.line
    group by runs.unit_key, runs.from_day, runs.until_day, runs.uncertain_from, runs.unsure_after, runs.pinned
)

select
    unit_key, (row_number() over in_order - 1)::integer as run, from_day, until_day, uncertain_from, unsure_after, pinned,
    vent_diameter_m, vent_length_m, vent_rise_m, elbows_90, elbows_45, terminal, material, air_from,
    intake_diameter_m, intake_length_m, intake_elbows_90, intake_elbows_45, common_vent,
    coalesce(vent_diameter_m, vent_length_m, vent_rise_m, elbows_90, elbows_45) is not null
    or coalesce(terminal, material, air_from, common_vent) is not null
    or coalesce(intake_diameter_m, intake_length_m, intake_elbows_90, intake_elbows_45) is not null as known
from stated
window in_order as (partition by unit_key order by from_day nulls first)
order by unit_key, run;
