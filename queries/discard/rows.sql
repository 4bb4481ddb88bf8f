-- layer: source and record
-- makes: nothing
-- grain: the rows of one file
-- reads: record.analyzers, record.answers, record.model_lines, record.plants, record.readings, record.units, record.visits, source.cells_set_aside, source.columns, source.returned, source.set_aside, source.unused_co
-- why: rows are loaded while a file is read, and only its end may show that it must not be
delete from source.columns where file_key = getvariable('discarded');
delete from source.cells_set_aside where file_key = getvariable('discarded');
delete from source.returned where file_key = getvariable('discarded');
delete from source.set_aside where file_key = getvariable('discarded');
delete from source.unused_co where file_key = getvariable('discarded');
delete from record.visits where file_key = getvariable('discarded');
delete from record.readings where file_key = getvariable('discarded');
delete from record.units where file_key = getvariable('discarded');
delete from record.model_lines where file_key = getvariable('discarded');
delete from record.analyzers where file_key = getvariable('discarded');
delete from record.plants where file_key = getvariable('discarded');
delete from record.answers where file_key = getvariable('discarded');
