-- layer: about
-- makes: about.build
-- grain: one row
-- reads: nothing
-- why: the last thing written, so its presence says that the building came to its end
create table about.build as
select
    getvariable('version') as version,
    getvariable('schema') as schema,
    getvariable('as_of') as as_of;
