comment on table about.build is 'one row: the last relation made, so its presence says that the building came to its end; and whose the warehouse is: program, settings, day, publication';
comment on column about.build.version is 'version of the program that built the warehouse';
comment on column about.build.schema is 'schema of the warehouse: names hold as long as it is the same';
comment on column about.build.as_of is 'the day the warehouse speaks for';
comment on column about.build.settings is 'digest of the settings that shape lists';
comment on column about.build.publication is 'the publication the warehouse goes with';
