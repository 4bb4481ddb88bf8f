package settings

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"
)

// Read reads, defaults and checks the configuration. Where its outputs lie is
// for who writes them to check.
func Read(path string) (*Config, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, Fail(Usage, "configuration %q is not there\nname one with -config, or make an example with: fluedrift demo", path)
	}
	if err != nil {
		return nil, Fail(Usage, "cannot read the configuration: %w", err)
	}
	c := defaults()
	c.Digest = DigestOf(text)
	meta, err := toml.Decode(string(text), c)
	if err != nil {
		return nil, Fail(Usage, "%s: %w", path, tomlError(err))
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		if now := movedKeys[unknown[0].String()]; now != "" {
			return nil, Fail(Usage, "%s:%d: %q is %q now\nthe known keys: fluedrift help config", path,
				lineOfKey(string(text), unknown[0]), unknown[0].String(), now)
		}
		if why := goneKeys[unknown[0].String()]; why != "" {
			return nil, Fail(Usage, "%s:%d: %q is gone: %s\nthe known keys: fluedrift help config", path,
				lineOfKey(string(text), unknown[0]), unknown[0].String(), why)
		}
		return nil, Fail(Usage, "%s:%d: unknown key %q\nthe known keys: fluedrift help config", path,
			lineOfKey(string(text), unknown[0]), unknown[0].String())
	}
	if c.File, err = filepath.Abs(path); err != nil {
		return nil, err
	}
	c.folder = filepath.Dir(c.File)
	if key, err := c.Gases.check(); err != nil {
		return nil, Fail(Usage, "%s:%d: %s: %w", path, lineOfKey(string(text), key), key, err)
	}
	if err := check(c); err != nil {
		return nil, Fail(Usage, "%s: %w", path, err)
	}
	if c.ids, err = c.IDs.read(c.Path); err != nil {
		return nil, Fail(Usage, "%s: %w", path, err)
	}
	return c, nil
}

// movedKeys are keys of earlier versions, with the name they have now.
var movedKeys = map[string]string{
	"crews.unseen_days": "plan.unseen_days",
	"crews.rich_weight": "plan.rich_weight",
	"crews.lean_weight": "plan.lean_weight",

	"output.tier_words":            "output.group_words",
	"guards.tier_change_tolerated": "guards.group_change_tolerated",
	"crews.minutes_by_tier":        "crews.minutes_by_group",
}

// goneKeys are keys of earlier versions that have no successor, and why.
var goneKeys = map[string]string{
	"crews.tier_weight": "visits are weighed by what they avoid (plan.rich_weight, plan.lean_weight)",
}

// tomlError puts the line in front of what the reader says.
func tomlError(err error) error {
	if p, ok := errors.AsType[toml.ParseError](err); ok {
		return fmt.Errorf("line %d: %s", p.Position.Line, p.Message)
	}
	return err
}

// lineOfKey finds the line on which a key is written, 0 where it cannot tell.
func lineOfKey(text string, key toml.Key) int {
	table, last := strings.Join(key[:len(key)-1], "."), key[len(key)-1]
	at, fallback := "", 0
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			at = strings.ReplaceAll(strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t"), `"`, "")
			if at == key.String() {
				return i + 1
			}
			continue
		}
		name := strings.Trim(strings.TrimSpace(strings.SplitN(line, "=", 2)[0]), `"'`)
		if name != last && name != key.String() {
			continue
		}
		if at == table {
			return i + 1
		}
		fallback = i + 1
	}
	return fallback
}

// ReadLeniently reads a configuration that is wrong as far as it can be read: what
// cannot be stays as by default.
func ReadLeniently(path string) *Config {
	c := defaults()
	if text, err := os.ReadFile(path); err == nil {
		toml.Decode(string(text), c) // a fault ends the reading, not the use of what was read
	}
	c.File = path
	if full, err := filepath.Abs(path); err == nil {
		c.File = full
	}
	c.folder = filepath.Dir(c.File)
	return c
}
