package main

import (
	"errors"
	"fmt"
	"io"
	"text/tabwriter"
)

// A condition is one way a command can end. The table below is the only place
// where exit codes are decided: the process, `help exit` and the scripts that
// provoke each row all read it.
type condition struct {
	code      int
	name      string // short word used in run.json and in messages
	when      string // when it arises, for a person
	published string // whether lists are published
}

// The exit codes by name.
const (
	exitDone        = 0
	exitOther       = 1
	exitUsage       = 64 // not 2, with which every Go program ends that breaks or has no memory left
	exitLook        = 10
	exitNoInput     = 11
	exitRefused     = 12
	exitLocked      = 13
	exitNoWarehouse = 14
	exitInterrupted = 130
)

var conditions = []condition{
	{exitDone, "done", "done; an empty list and a night with nothing new are also done", "yes"},
	{exitLook, "done, look", "done, with something to look at: more lines set aside or doubtful than tolerated, a sheet that no layout reads or numbers under a blank header, any line of a register, targets or calibrations that cannot be used, an export most of whose lines are set aside, a file refused or incomplete, an entry of the exports folder that no layout is for (but for exports.ignore), CO for attention or more on a record that could not be used, CO that cannot be read, a source silent for longer than its rhythm or than guards.max_source_age_days, a fit that fell back, analyzers that change between calibrations by more than instruments do, a simple rule that the newest hindsight found better than the forecast, a doubtful clock, a damaged older publication, many units without any reading (guards.unread_tolerated), many that changed tier (guards.tier_change_tolerated), a file with many serials outside the register (guards.strangers_tolerated), so much of the fleet out of limits that a column, a target or the day is likelier wrong (guards.out_tolerated, column_tolerated, one_side_tolerated, record_age_tolerated), a guard tolerated by configuration", "yes"},
	{exitNoInput, "no input", "the exports folder is missing or empty, or nothing in it is newer than guards.max_age_days", "no, the last list stays"},
	{exitRefused, "input refused", "a file accepted in the last publication is now refused or gone, a refused file is larger than guards.max_refused_share of all, lines set aside exceed guards.max_set_aside, lines of a register, targets or calibrations guards.max_register_set_aside, those of the newest export of a source guards.max_file_set_aside, readings are gone (guards.max_readings_lost), an export shrank, in one night or over guards.shrink_days (guards.max_export_shrink), a check has rows, the list changed its size (guards.max_list_change), more units than before have no reading (guards.max_unread_rise), a register calls many units removed (guards.max_removed), most serials of a file are outside the register (guards.max_strangers), the newest readings of a column jumped together (guards.max_column_jump), or two layouts of units contradict each other (guards.max_model_line_change, or the same boilers spelt differently)", "no, the last list stays"},
	{exitLocked, "locked", "another night holds the lock", "no, the last list stays"},
	{exitNoWarehouse, "no warehouse", "the warehouse or the publication that a reading command needs is missing, cut, damaged, held by a session that writes, made by another version or for another configuration, or of another publication than the list that is out; the message names the command that makes it again", "no"},
	{exitUsage, "usage", "the command line or the configuration is wrong: an unknown command, flag or key", "no"},
	{exitInterrupted, "interrupted", "stopped by a signal", "no, the last list stays"},
	{exitOther, "failed", "anything else: the disk is full or cannot be written, a fault in the program", "no, the last list stays"},
}

// A failure is an error that ends the command with a code of the table.
type failure struct {
	code int
	err  error
}

func (f *failure) Error() string { return f.err.Error() }
func (f *failure) Unwrap() error { return f.err }

// fail makes an error that ends the command with the given code.
func fail(code int, format string, args ...any) error {
	return &failure{code, fmt.Errorf(format, args...)}
}

// codeOf gives the exit code of an error; 0 for none.
func codeOf(err error) int {
	var f *failure
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &f):
		return f.code
	case isInterrupt(err):
		return exitInterrupted
	}
	return exitOther
}

// conditionNamed gives the short word of a code.
func conditionNamed(code int) string {
	for _, c := range conditions {
		if c.code == code {
			return c.name
		}
	}
	return "failed"
}

// helpExit prints the table.
func helpExit(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "code\tcondition\tlists published?\twhen")
	for _, c := range conditions {
		fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", c.code, c.name, c.published, c.when)
	}
	t.Flush()
	fmt.Fprintln(w, "Any other code that is not zero is a failure: 2 for a crash that could not be caught or no memory left, 137 for a process that was killed.")
}
