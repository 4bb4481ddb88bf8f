package settings

import (
	"crypto/sha256"
	"encoding/hex"
)

// DigestOf is the SHA-256 of some bytes in hexadecimal.
func DigestOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
