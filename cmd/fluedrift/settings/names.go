package settings

// GuardNames are the guards that guards.tolerate may name.
var GuardNames = []string{
	"gone", "refused", "set aside", "register lines", "newest file", "shrunk", "checks", "readings",
	"list size", "fit", "clock",
	"unread", "groups", "removed", "serials", "registers", "column", "out", "one side", "old records",
}

// LogForms are the values of -log and output.log.
var LogForms = []string{"", "text", "json"}
