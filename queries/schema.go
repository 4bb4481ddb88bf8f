package queries

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"sync"
)

// meaning counts the changes of what stored values mean that no statement of
// queries/build shows: raise it with one.
const meaning = 2

// Schema names what the tables of a warehouse of this program are and hold: a
// digest of the statements that make them, comments left out, so that nobody has
// to remember to raise it. A warehouse of another schema is not read.
var Schema = sync.OnceValue(func() string {
	sum := sha256.New()
	fmt.Fprintln(sum, meaning)
	for _, s := range steps("build") {
		for line := range strings.Lines(s.text) {
			if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "--") {
				fmt.Fprintln(sum, line)
			}
		}
	}
	return hex.EncodeToString(sum.Sum(nil))[:12]
})
