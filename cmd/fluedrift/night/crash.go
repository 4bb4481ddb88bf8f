package night

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/sourcegraph/conc/panics"
)

// A crash is a panic of the program, caught and made an error, so that a night
// ends with a code of its own, its stage and its metrics, and not as any Go
// program that breaks: with code 2 and nothing cleared.
type crash struct {
	stage string // how far the work had come: while or after what
	value any    // what the panic said
	stack string // where, of the goroutine that broke
}

func (c *crash) Error() string {
	return fmt.Sprintf("a fault in the program stopped it %s: %v\nrun it again; if it stops again, report this "+
		"message with the lines below\n%s", c.stage, c.value, c.stack)
}

// isCrash says whether an error is a caught panic.
func isCrash(err error) bool {
	_, crashed := errors.AsType[*crash](err)
	return crashed
}

// At is a stage known beforehand.
func At(name string) func() string { return func() string { return name } }

// Caught does work and makes a panic in it an error that names the stage. A
// panic of a worker arrives here too: workers are started with conc, which hands
// it to whoever waits for them.
func Caught(reached func() string, work func() error) (err error) {
	defer func() {
		switch v := recover().(type) {
		case nil:
		case *panics.Recovered:
			err = &crash{reached(), v.Value, stackLines(v.Stack)}
		default:
			err = &crash{reached(), v, stackLines(debug.Stack())}
		}
	}()
	return work()
}

// stackLines shifts the lines of a stack.
func stackLines(stack []byte) string {
	text := strings.ReplaceAll(strings.TrimSpace(string(stack)), "\t", "  ")
	return "  " + strings.ReplaceAll(text, "\n", "\n  ")
}
