package settings

import (
	"fmt"
	"path"
)

// IsIgnored says whether exports.ignore names an entry of the exports folder: by
// its path, by its own name, or by a folder it lies in.
func (c *Config) IsIgnored(name string) bool {
	for _, pattern := range c.Exports.Ignore {
		if ok, _ := path.Match(pattern, path.Base(name)); ok {
			return true
		}
		for at := name; at != "."; at = path.Dir(at) {
			if ok, _ := path.Match(pattern, at); ok {
				return true
			}
		}
	}
	return false
}

// checkIgnore finds a pattern that cannot be one.
func (c *Config) checkIgnore() error {
	for _, pattern := range c.Exports.Ignore {
		if _, err := path.Match(pattern, ""); err != nil || pattern == "" {
			return fmt.Errorf("exports.ignore: %q is no pattern of a file name\ngive names such as \"*.pdf\" or \"archive\"", pattern)
		}
	}
	return nil
}
