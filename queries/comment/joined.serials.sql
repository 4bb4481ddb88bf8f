comment on table joined.serials is 'a row a serial as some record writes it: a serial is matched exactly, else with letter case folded where exactly one serial of the register fits, else as the second id of exactly one unit; a second id of several units names none of them, and look-alikes are never merged';
comment on column joined.serials.written is 'the serial as some record writes it';
comment on column joined.serials.serial is 'serial of the unit, exact';
comment on column joined.serials.how is 'how it was found';
