comment on table joined.calibrations is 'a row an analyzer and day of calibration, half-open in time: a reading is taken with the analyzer as it was set at its latest calibration on or before the day; one that left it as found changes nothing; what persons decided about units that stood on a list';
comment on column joined.calibrations.analyzer is 'identifier of the analyzer, as exported';
comment on column joined.calibrations.calibrated is 'day of the analyzer''s calibration in force';
comment on column joined.calibrations.until_day is 'day of the next calibration';
comment on column joined.calibrations.found_error is 'what the analyzer was found to read too high at the calibration (% CO2)';
