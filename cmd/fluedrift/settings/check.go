package settings

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// leastMemoryMB is less than any night takes, MiB.
const leastMemoryMB = 64

// check holds the values against each other.
func check(c *Config) error {
	for _, m := range c.Plan.ServiceMonths {
		if m < 1 || m > 12 {
			return fmt.Errorf("plan.service_months: %d is not a month from 1 to 12", m)
		}
	}
	if c.Plan.IntervalMonths < 1 {
		return fmt.Errorf("plan.interval_months: %d is less than 1", c.Plan.IntervalMonths)
	}
	if c.Plan.UnseenDays < 1 || c.Plan.UnseenDays > 366 {
		return fmt.Errorf("plan.unseen_days: %d is not from 1 to 366", c.Plan.UnseenDays)
	}
	if !(c.Plan.BookSoonerDays > 0 && c.Plan.BookSoonerDays <= 366) {
		return fmt.Errorf("plan.book_sooner_days: %g is not over 0 and up to 366", c.Plan.BookSoonerDays)
	}
	if !(c.Plan.RichWeight >= 0 && c.Plan.LeanWeight >= 0 && c.Plan.RichWeight+c.Plan.LeanWeight > 0) {
		return fmt.Errorf("plan: rich_weight %g and lean_weight %g must not be negative, nor both 0", c.Plan.RichWeight, c.Plan.LeanWeight)
	}
	if !(c.Limits.COAttention > 0 && c.Limits.COAttention <= c.Limits.COUrgent) {
		return fmt.Errorf("limits: co_attention_ppm %g and co_urgent_ppm %g must be positive and in this order",
			c.Limits.COAttention, c.Limits.COUrgent)
	}
	if c.Limits.AirO2 < 20 || c.Limits.AirO2 > 21.5 {
		return fmt.Errorf("limits.air_o2_percent: %g is no share of oxygen in air\ngive 20.9, 20.95 or 21", c.Limits.AirO2)
	}
	for fuel, v := range c.Limits.CO2Max {
		if v <= 5 || v > 25 {
			return fmt.Errorf("limits.co2max_percent: %g for %q is outside 5-25 %%", v, fuel)
		}
	}
	for _, g := range c.Guards.Tolerate {
		if !slices.Contains(GuardNames, g) {
			return fmt.Errorf("guards.tolerate: %q is no guard\nthe guards: %s", g, strings.Join(GuardNames, ", "))
		}
	}
	switch {
	case c.Guards.MaxMemoryMB != 0 && c.Guards.MaxMemoryMB < leastMemoryMB:
		return fmt.Errorf("guards.max_memory_mb: %d is too little for any night\ngive at least %d, or 0 for no bound",
			c.Guards.MaxMemoryMB, leastMemoryMB)
	case c.Output.KeepDays < 0 || c.Output.KeepCount < 0:
		return fmt.Errorf("output: keep_days %d and keep_count %d must not be negative", c.Output.KeepDays, c.Output.KeepCount)
	case c.Output.KeepMB < 0 || c.Output.PackJSONOver < 0:
		return fmt.Errorf("output: keep_mb %d and pack_json_over %d must not be negative", c.Output.KeepMB, c.Output.PackJSONOver)
	case !slices.Contains(LogForms, c.Output.Log):
		return fmt.Errorf("output.log: %q is neither text nor json", c.Output.Log)
	case c.Exports.MaxFiles < 1 || c.Exports.MaxFileMB < 1 || c.Exports.MaxUnpackedMB < 1 || c.Exports.MaxCellKB < 1,
		c.Exports.MaxRows < 1 || c.Exports.MaxParquetRows < 1:
		return errors.New("exports: max_files, max_file_mb, max_unpacked_mb, max_cell_kb, max_rows and max_parquet_rows must be positive")
	}
	if err := cmp.Or(checkIgnore(c), c.Display.check(), c.Hindsight.check(), c.Model.check(), c.Vents.check()); err != nil {
		return err
	}
	for i, t := range c.Targets {
		if err := t.check(); err != nil {
			return fmt.Errorf("targets, entry %d: %w", i+1, err)
		}
	}
	return nil
}

func (t Target) check() error {
	switch {
	case t.Fuel == "" || t.Fire == "":
		return errors.New("fuel and fire are needed")
	case !t.Fire.Valid():
		return fmt.Errorf("fire %q is neither high, low, single nor point", t.Fire)
	case (t.Line == "") == (t.Serial == ""):
		return errors.New("give either line or serial")
	case (t.CO2 == nil) == (t.O2 == nil):
		return errors.New("give either co2 or o2")
	}
	for name, v := range map[string]*float64{"set_rich": t.SetRich, "set_lean": t.SetLean, "act_rich": t.ActRich, "act_lean": t.ActLean} {
		if v != nil && *v <= 0 {
			return fmt.Errorf("%s: %g is not a positive number of points", name, *v)
		}
	}
	return nil
}
