-- layer: schemas
-- makes: source, record, joined, result, about, record.kind, record.fire, record.condition, record.co_basis, record.co_limit, record.air_temp_at, record.yes_no, joined.outcome
-- grain: a word list is one type; the order of its words is the order of sorting
-- reads: nothing
-- why: words that millions of rows repeat are stored as numbers, and an unknown word stops the load
create schema source;
create schema record;
create schema joined;
create schema result;
create schema about;

create type record.kind as enum ('readings', 'visits', 'units', 'model_lines', 'analyzers', 'plants', 'answers');
create type record.fire as enum ('high', 'middle', 'low', 'single', 'point');
create type record.condition as enum ('as found', 'between', 'as left');
create type record.co_basis as enum ('as measured', 'air-free', 'reference', 'unknown');
create type record.co_limit as enum ('below', 'above');
create type record.air_temp_at as enum ('intake', 'room', 'outdoor', 'unknown');
create type record.yes_no as enum ('yes', 'no');
create type joined.outcome as enum ('accepted', 'superseded', 'duplicate', 'doubtful', 'set aside');
