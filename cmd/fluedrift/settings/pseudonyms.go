package settings

import (
	"regexp"
)

// shortestKey is the least length of the secret, in bytes.
const shortestKey = 16

// aPseudonym is what a pseudonym looks like.
var aPseudonym = regexp.MustCompile(`^T-[A-Z2-7]{10}$`)
