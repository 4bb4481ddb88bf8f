package settings

import (
	"fmt"
	"path"
)

// checkIgnore finds a pattern that cannot be one.
func checkIgnore(c *Config) error {
	for _, pattern := range c.Exports.Ignore {
		if _, err := path.Match(pattern, ""); err != nil || pattern == "" {
			return fmt.Errorf("exports.ignore: %q is no pattern of a file name\ngive names such as \"*.pdf\" or \"archive\"", pattern)
		}
	}
	return nil
}
