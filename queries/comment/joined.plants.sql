comment on table joined.plants is 'a row a unit of a plant: which units share a vent, an intake or a sequence, as the newest export says';
comment on column joined.plants.unit_key is 'the unit, joins with joined.units';
comment on column joined.plants.plant is 'units that share a vent or an intake or a sequence';
comment on column joined.plants.site is 'a place with units';
comment on column joined.plants.common is 'what the units of the plant share';
