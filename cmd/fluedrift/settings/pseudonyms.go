package settings

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"os"
	"regexp"
)

// shortestKey is the least length of the secret, in bytes.
const shortestKey = 16

// Pseudonyms gives what stands for a technician code, nil where codes are
// shown. It is the first 50 bits of HMAC-SHA-256 (RFC 2104) under the secret:
// the same code gives the same pseudonym every night, and without the secret
// nobody can try codes out.
func (c *Config) Pseudonyms() (func(code string) string, error) {
	if c.Output.PseudonymKey == "" {
		return nil, nil
	}
	path := c.Path(c.Output.PseudonymKey)
	info, err := os.Stat(path)
	if err != nil {
		return nil, Fail(Usage, "output.pseudonym_key: %w\nmake one with: head -c 32 /dev/urandom | base64 > FILE", err)
	}
	if info.Mode().Perm()&0o007 != 0 {
		return nil, Fail(Usage, "output.pseudonym_key: everybody may read %s\ntake that away with: chmod o= %s", path, path)
	}
	key, err := os.ReadFile(path)
	if err != nil {
		return nil, Fail(Usage, "output.pseudonym_key: %w", err)
	}
	if key = bytes.TrimSpace(key); len(key) < shortestKey {
		return nil, Fail(Usage, "output.pseudonym_key: %s holds %d bytes, at least %d are needed\nmake one with: head "+
			"-c 32 /dev/urandom | base64 > FILE", path, len(key), shortestKey)
	}
	return func(code string) string {
		if aPseudonym.MatchString(code) { // of a file to mend: it holds no codes
			return code
		}
		sum := hmac.New(sha256.New, key)
		sum.Write([]byte(code))
		return "T-" + base32.StdEncoding.EncodeToString(sum.Sum(nil))[:10]
	}, nil
}

// aPseudonym is what a pseudonym looks like.
var aPseudonym = regexp.MustCompile(`^T-[A-Z2-7]{10}$`)
