-- layer: record
-- makes: rows of record.readings
-- grain: a row a row of the view
-- reads: main.incoming
-- why: words become numbers here; a word outside the lists stops the load
insert into record.readings (
    visit_row, file_key, line, part, occurrence, minute, fire, rate_percent, condition, co2_percent, o2_percent,
    co_ppm, co_basis, co_reference_o2, co_limit, flue_temp_c, air_temp_c, air_temp_at, minutes_firing, supply_pa,
    manifold_pa, fan_speed_rpm, flame_signal_ua, draft_pa, adjusted, analyzer, co2_decimals, o2_decimals,
    co_decimals, flue_decimals, air_decimals, key_hash, content_hash, marks
)
select
    incoming.visit_row, incoming.file_key, incoming.line, incoming.part, incoming.occurrence, incoming.minute,
    incoming.fire::record.fire, incoming.rate_percent, incoming.condition::record.condition, incoming.co2_percent,
    incoming.o2_percent, incoming.co_ppm, incoming.co_basis::record.co_basis, incoming.co_reference_o2,
    incoming.co_limit::record.co_limit, incoming.flue_temp_c, incoming.air_temp_c,
    incoming.air_temp_at::record.air_temp_at, incoming.minutes_firing, incoming.supply_pa, incoming.manifold_pa,
    incoming.fan_speed_rpm, incoming.flame_signal_ua, incoming.draft_pa, incoming.adjusted::record.yes_no,
    incoming.analyzer, incoming.co2_decimals, incoming.o2_decimals, incoming.co_decimals, incoming.flue_decimals,
    incoming.air_decimals, incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
