package main

import (
	"fmt"
	"io"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// advice is what a person does about each condition.
var advice = map[settings.Condition]string{
	settings.Done: "Nothing. The list is in lists/latest.",
	settings.Look: "The list is published and can be used. Read the notes (error stream, or notes in " +
		"lists/latest/run.json) within the week: mend the layout of a refused file, ask for an export that was cut or " +
		"for those of a silent source, correct lines of records-to-fix.csv, those of registers and targets first. " +
		"If something in the exports folder is no export, move it out, or name it in exports.ignore. If a source has ended, name it " +
		"in guards.ended_sources. If many units have no reading, or many changed group, look for an export that is missing or misread " +
		"before anybody drives. " +
		"If much of the fleet is out of limits, compare the column named with the file, its unit of " +
		"measure with the layout, and the targets with the instructions, before anybody " +
		"drives. If serials are outside the register, correct the lines of the register that " +
		"were set aside, else the serials. If a guard was tolerated, take it out of guards.tolerate again.",
	settings.NoInput: "Look at the exports folder: is it mounted, did last night's exports arrive? Nothing has to " +
		"be undone; the next night with exports publishes.",
	settings.Refused: "The message names the file or the guard. Restore or re-export the file; where lines are " +
		"set aside, fluedrift inspect FILE shows them and why: most often an office writes a new word, which the layout has to learn. " +
		"If the change is right (a register was cut on purpose, a region was added), name the guard " +
		"in guards.tolerate, run once, and take it out again.",
	settings.Locked: "Another night is still at work; the message names its process. Let it end. If it takes " +
		"longer than it used to, look at step durations in its metrics. A lock file left behind locks nobody out.",
	settings.NoWarehouse: "Run the command that the message names: nightly, or build for the warehouse of another " +
		"day. A warehouse that was restored or copied from elsewhere, or is shared by two configurations, contradicts " +
		"the list that is out; so does one after a change of the configuration. After an update of the program, the first night makes " +
		"it anew.",
	settings.Usage:       "Mend the configuration or the command line; the message names file, line and key. See: fluedrift help config.",
	settings.Interrupted: "Somebody stopped it. Run it again; nothing has to be cleared.",
	settings.Failed: "Read the message: most often the disk is full or cannot be written. Free space, or mend the " +
		"rights, and run again; nothing has to be cleared or rolled back. A fault in the program: run it again; if it " +
		"stops again, put the previous binary back and report the whole message.",
}

// helpOperations prints the page on running nights for years.
func helpOperations(w io.Writer) {
	fmt.Fprint(w, `Running it for years

Setting up
  1. Write the configuration (fluedrift help config) and the layouts; try them with
     fluedrift inspect until no file is refused that should be read.
  2. fluedrift nightly, by hand, as the user who will run it.
  3. fluedrift help schedule prints a systemd service and timer, and a line for cron.
  4. Watch two things: the exit code, and that lists/latest is not older than a day and a half.
     [output] metrics writes both, and more, for a textfile collector; the rules at the foot of
     this page alert on the code, on the age of the lists, which also shows nights that never
     started, and on metrics that are missing.

What is where
  exports    The truth. Read only: nothing is ever written, moved or renamed there. Keep them all; back
             them up. A later export of the same record corrects the earlier one.
  warehouse  Disposable: every night makes it anew from the exports.
  lists      One folder a night, whole; lists/<as-of> and lists/latest are links. Back them up if the past
             lists matter; [output] keep_days, keep_count and keep_mb say how long they stay. The latest never goes.
             run.json beside the lists says what went in, with digests, and how the night went.

What stops a night, and what then
  Kill it, cut the power, fill the disk: the last list and the last warehouse stay whole, and the next night
  clears what was left and goes on. There is nothing to roll back and no lock to remove. A signal (TERM, INT)
  ends a night within two seconds. Commands that read (list, unit) never wait for a night and never see half
  of one; a session that an engineer holds open on the warehouse keeps the old one until it is closed.
  A file of which a copy was under way waits for the next night (code 10).
  Only a power cut inside the temporary folder of the system ($TMPDIR) can leave a folder fluedrift-*; it can
  be removed at any time.

Lists of another day
  fluedrift nightly -as-of DAY writes the lists as they would have been on that day to lists/DAY, beside the
  newest. lists/latest and the warehouse stay on their day unless -publish moves them too.

Moving to another machine
  Copy exports, layouts, configuration and (for the column of changes, and the guards) the lists folder, links
  kept: cp -a or tar. Leave the warehouse behind. The same exports, configuration, as-of day and previous
  publication give the same bytes there, whatever the number of cores, the time zone or the language. If a
  pseudonym key is in use, move it as a secret: another key gives other pseudonyms.

Updating the program
  Read fluedrift help changes. Put the new binary in place between two nights. The first night makes the
  warehouse anew; if its schema changed, unit and days end with code 14 until then. Lists that are out stay as
  they are. The first night compares with the last publication if that is of the same schema or of the one
  before (fluedrift version shows it). A publication of any other schema is passed over with a note, code 10,
  and no guard sees that night what is gone: look through the list yourself. Going back to an older binary is
  the same.

Private by default
  Files are made with mode 0600 and folders with 0700. [output] group_readable = true gives the group the right
  to read. [output] pseudonym_key replaces technician codes in warehouse and lists. The exports still hold them.

What to do for each exit code
`)
	for _, c := range settings.Endings {
		fmt.Fprintf(w, "  %3d  %s\n", c.Condition, c.Name)
		for _, line := range wrap(advice[c.Condition], 96) {
			fmt.Fprintf(w, "       %s\n", line)
		}
	}
	helpAlerts(w)
}

// wrap cuts a text into lines at blanks.
func wrap(text string, width int) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
