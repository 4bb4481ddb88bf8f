package draft

import "slices"

// ticketWords are headers of a table of jobs to be done: what each is called, what was
// wrong, who has it, when it came and went. Common practice, no source.
var ticketWords = []string{
	"ticket", "job", "call", "case", "order", "wo", "invoice", "request", "incident", "auftrag", "störung", "meldung", "panne", "bon",
	"rechnung", "fault", "problem", "complaint", "symptom", "resolution", "action", "remedy", "cause", "fehler", "ursache", "défaut",
	"assigned", "priority", "opened", "closed", "logged", "reported", "raised", "due", "completed", "customer", "hrs", "hours", "gemeldet",
	"erledigt",
}

// tickets reports a table of jobs: it has a state and a type, as a register of boilers
// has, and neither an input nor an install day.
func tickets(k *Kind, fields map[string]bool) bool {
	if fields["input"] || fields["installed"] {
		return false
	}
	n := 0
	for _, h := range k.header {
		if slices.ContainsFunc(words(h), func(w string) bool { return slices.Contains(ticketWords, w) }) {
			n++
		}
	}
	return n >= 2
}
