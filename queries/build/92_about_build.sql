-- layer: about
-- makes: about.build
-- grain: one row
-- reads: nothing
-- why: the last relation made, so its presence says that the building came to its end; and whose the warehouse is: program, settings, day, publication
create table about.build as
select
    getvariable('version') as version,
    getvariable('schema') as schema,
    getvariable('as_of') as as_of,
    getvariable('settings') as settings,
    cast('' as varchar) as publication;
