package settings

import (
	"context"
	"errors"
	"fmt"

	"fluedrift/ingest"
)

// A Condition is one way a command can end. Its value is the exit code, which only
// the process, run.json and the metrics have to know.
type Condition int

// The conditions.
const (
	Done        Condition = 0
	Failed      Condition = 1
	Usage       Condition = 64 // not 2, with which every Go program ends that breaks or has no memory left
	Look        Condition = 10
	NoInput     Condition = 11
	Refused     Condition = 12
	Locked      Condition = 13
	NoWarehouse Condition = 14
	Interrupted Condition = 130
)

// An Ending says of a condition what people and programs are told of it.
type Ending struct {
	Condition Condition
	Name      string // short word used in run.json and in messages
	When      string // when it arises, for a person
	Published string // whether lists are published
}

// Endings is the only table of exit codes: the process, `help exit`, README and
// the scripts that provoke each row all read it.
var Endings = []Ending{
	{Done, "done", "done; an empty list and a night with nothing new are also done", "yes"},
	{Look, "done, look", "done, with something to look at: more lines set aside or doubtful than tolerated, a sheet " +
		"that no layout reads or numbers under a blank header, a quote that opens in a line and never " +
		"closes, any line of a register, targets or calibrations that " +
		"cannot be used, an export most of whose lines are set aside, a file refused or incomplete, an entry of " +
		"the exports folder that no layout is for (but for exports.ignore), CO for attention or more on a " +
		"record that could not be used, CO that cannot be read, a source silent for longer than its " +
		"rhythm or than guards.max_source_age_days, a fit that fell back, analyzers that change more between calibrations than " +
		"instruments do, a simple rule that the newest " +
		"hindsight found better than the forecast, a doubtful clock, a damaged older " +
		"publication, many units without any reading (guards.unread_tolerated), many that " +
		"changed group (guards.group_change_tolerated), a file with many serials " +
		"outside the register (guards.strangers_tolerated), so much of the fleet out of limits that a column, a target or the day is " +
		"more likely wrong " +
		"(guards.out_tolerated, column_tolerated, one_side_tolerated, " +
		"record_age_tolerated), a guard tolerated by configuration", "yes"},
	{
		NoInput, "no input", "the exports folder is missing or empty, or nothing in it is newer than guards.max_age_days",
		"no, the last list stays",
	},
	{Refused, "input refused", "a file accepted in the last publication is now refused or gone, a refused file is " +
		"larger than guards.max_refused_share of all, lines set aside exceed guards.max_set_aside, lines of a " +
		"register, targets or calibrations guards.max_register_set_aside, those of the newest export of a source " +
		"guards.max_file_set_aside, readings are gone (guards.max_readings_lost), an export shrank, in one " +
		"night or over guards.shrink_days (guards.max_export_shrink), a check has rows, the size of the list changed " +
		"(guards.max_list_change), more units than before have no reading " +
		"(guards.max_unread_rise), a register calls many units removed (guards.max_removed), most " +
		"serials of a file are outside the register (guards.max_strangers), the newest " +
		"readings of a column jumped together (guards.max_column_jump), or two layouts of " +
		"units contradict each other (guards.max_model_line_change, or the same " +
		"boilers spelt differently)", "no, the last list stays"},
	{Locked, "locked", "another night holds the lock", "no, the last list stays"},
	{NoWarehouse, "no warehouse", "the warehouse or the publication that a reading command needs is missing, cut, " +
		"damaged, held by a session that writes, made by another version or for another configuration, of another " +
		"publication than the list that is out, or built without forecasts; the message names the command that makes it again", "no"},
	{Usage, "usage", "the command line or the configuration is wrong: an unknown command, flag or key", "no"},
	{Interrupted, "interrupted", "stopped by a signal", "no, the last list stays"},
	{Failed, "failed", "anything else: the disk is full or cannot be written, a night needs more memory than " +
		"guards.max_memory_mb, a fault in the program", "no, the last list stays"},
}

// A Failure is an error that ends the command in a condition of the table.
type Failure struct {
	Condition Condition
	Err       error
}

func (f *Failure) Error() string { return f.Err.Error() }
func (f *Failure) Unwrap() error { return f.Err }

// Fail makes an error that ends the command in a condition.
func Fail(c Condition, format string, args ...any) error {
	return &Failure{c, fmt.Errorf(format, args...)}
}

// ConditionOf gives the condition that an error ends a command in; Done for none.
func ConditionOf(err error) Condition {
	if err == nil {
		return Done
	}
	if f, ok := errors.AsType[*Failure](err); ok {
		return f.Condition
	}
	if _, joined := errors.AsType[*ingest.JoinedError](err); joined {
		return Usage // of two boilers the configuration makes one
	}
	if errors.Is(err, context.Canceled) {
		return Interrupted
	}
	return Failed
}

// Name gives the short word of a condition.
func (c Condition) Name() string {
	for _, e := range Endings {
		if e.Condition == c {
			return e.Name
		}
	}
	return "failed"
}
