-- layer: record
-- makes: rows of record.model_lines
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.model_lines (
    file_key, line, serial, model_line, fuel, fire, valid_from, target_co2, target_o2, set_rich, set_lean,
    act_rich, act_lean, longest_run_m, fan_pa, factory_run_m, factory_gas, factory_altitude_m, key_hash,
    content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.serial, incoming.model_line, incoming.fuel,
    incoming.fire::record.fire, incoming.valid_from, incoming.target_co2, incoming.target_o2, incoming.set_rich,
    incoming.set_lean, incoming.act_rich, incoming.act_lean, incoming.longest_run_m, incoming.fan_pa,
    incoming.factory_run_m, incoming.factory_gas, incoming.factory_altitude_m, incoming.key_hash,
    incoming.content_hash, incoming.marks
from main.incoming;
