-- layer: read
-- makes: calibrations
-- grain: a row an analyzer and day
-- reads: joined.calibrations
-- why: an analyzer's bias is taken to hold from one calibration to the next
select analyzer, calibrated, found_error
from joined.calibrations
order by analyzer, calibrated;
