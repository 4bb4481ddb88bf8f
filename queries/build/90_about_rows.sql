-- layer: about
-- makes: about.rows
-- grain: a row a stored table
-- reads: source.files, source.columns, source.set_aside, source.cells_set_aside, source.returned, source.unused_co, record.visits, record.readings, record.units, record.model_lines, record.analyzers, record.plants, record.answers, joined.files, joined.replaced, joined.verdicts, joined.settled, joined.register, joined.serials, joined.damaged_units, joined.early, joined.repeats, joined.unused_co, joined.visit_rows, joined.units, joined.stated, joined.states, joined.alterations, joined.places, joined.moves, joined.turns, joined.stretches, joined.vent_runs, joined.fuels, joined.targets, joined.unit_targets, joined.calibrations, joined.plants, joined.answers, joined.adjustments, joined.visits, joined.visit_keys, joined.single_fires, joined.in_between, joined.reading_values, joined.removals, result.predictions, result.findings, result.judgements, result.fits, result.coefficients, result.analyzers, result.level_steps, result.unconfirmed, result.shifts
-- why: a database that lost its log opens without a word, with rows missing
create view about.rows as
select 'source.files' as relation, count(*) as rows from source.files
union all select 'source.columns', count(*) from source.columns
union all select 'source.set_aside', count(*) from source.set_aside
union all select 'source.cells_set_aside', count(*) from source.cells_set_aside
union all select 'source.returned', count(*) from source.returned
union all select 'source.unused_co', count(*) from source.unused_co
union all select 'record.visits', count(*) from record.visits
union all select 'record.readings', count(*) from record.readings
union all select 'record.units', count(*) from record.units
union all select 'record.model_lines', count(*) from record.model_lines
union all select 'record.analyzers', count(*) from record.analyzers
union all select 'record.plants', count(*) from record.plants
union all select 'record.answers', count(*) from record.answers
union all select 'joined.files', count(*) from joined.files
union all select 'joined.replaced', count(*) from joined.replaced
union all select 'joined.verdicts', count(*) from joined.verdicts
union all select 'joined.settled', count(*) from joined.settled
union all select 'joined.register', count(*) from joined.register
union all select 'joined.serials', count(*) from joined.serials
union all select 'joined.damaged_units', count(*) from joined.damaged_units
union all select 'joined.early', count(*) from joined.early
union all select 'joined.repeats', count(*) from joined.repeats
union all select 'joined.unused_co', count(*) from joined.unused_co
union all select 'joined.visit_rows', count(*) from joined.visit_rows
union all select 'joined.units', count(*) from joined.units
union all select 'joined.stated', count(*) from joined.stated
union all select 'joined.removals', count(*) from joined.removals
union all select 'joined.states', count(*) from joined.states
union all select 'joined.places', count(*) from joined.places
union all select 'joined.moves', count(*) from joined.moves
union all select 'joined.alterations', count(*) from joined.alterations
union all select 'joined.turns', count(*) from joined.turns
union all select 'joined.stretches', count(*) from joined.stretches
union all select 'joined.vent_runs', count(*) from joined.vent_runs
union all select 'joined.fuels', count(*) from joined.fuels
union all select 'joined.targets', count(*) from joined.targets
union all select 'joined.unit_targets', count(*) from joined.unit_targets
union all select 'joined.calibrations', count(*) from joined.calibrations
union all select 'joined.plants', count(*) from joined.plants
union all select 'joined.answers', count(*) from joined.answers
union all select 'joined.adjustments', count(*) from joined.adjustments
union all select 'joined.visits', count(*) from joined.visits
union all select 'joined.visit_keys', count(*) from joined.visit_keys
union all select 'joined.single_fires', count(*) from joined.single_fires
union all select 'joined.in_between', count(*) from joined.in_between
union all select 'joined.reading_values', count(*) from joined.reading_values
union all select 'result.predictions', count(*) from result.predictions
union all select 'result.findings', count(*) from result.findings
union all select 'result.judgements', count(*) from result.judgements
union all select 'result.fits', count(*) from result.fits
union all select 'result.coefficients', count(*) from result.coefficients
union all select 'result.analyzers', count(*) from result.analyzers
union all select 'result.level_steps', count(*) from result.level_steps
union all select 'result.unconfirmed', count(*) from result.unconfirmed
union all select 'result.shifts', count(*) from result.shifts;
