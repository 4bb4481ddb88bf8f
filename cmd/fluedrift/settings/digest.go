package settings

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"github.com/BurntSushi/toml"
)

// DigestOf is the SHA-256 of some bytes in hexadecimal.
func DigestOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// ListsDigest is the digest of all that shapes a warehouse and its lists: what is
// said of crews, of looks back and of vents, paths of outputs and guards may
// change between a night and a command that reads, the rest must not.
func (c *Config) ListsDigest() string {
	shaping := *c
	shaping.Crews, shaping.Vents, shaping.Plan.AsOf = Crews{}, Vents{}, time.Time{}
	shaping.Hindsight = Hindsight{Recalibrate: c.Hindsight.Recalibrate}
	none := Config{}
	shaping.Guards, shaping.Exports, shaping.Output = none.Guards, none.Exports, none.Output
	shaping.Exports.Folder, shaping.Exports.Layouts = c.Exports.Folder, c.Exports.Layouts
	shaping.Output.TierWords, shaping.Output.HabitsByTechnician, shaping.Output.PseudonymKey = c.Output.TierWords,
		c.Output.HabitsByTechnician, c.Output.PseudonymKey
	var text bytes.Buffer
	if err := toml.NewEncoder(&text).Encode(shaping); err != nil {
		return c.Digest
	}
	return DigestOf(text.Bytes())
}
