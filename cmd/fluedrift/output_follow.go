package main

import (
	"fluedrift/cmd/fluedrift/settings"
	"io/fs"
	"os"
)

// followWarehouse takes the file a link points to for the warehouse: the link
// stays, and all that is made beside it lies where the file does.
func followWarehouse(c *settings.Config) (err error) {
	path := c.Path(c.Output.Warehouse)
	if info, broken := os.Lstat(path); broken == nil && info.Mode().Type() == fs.ModeSymlink {
		c.Output.Warehouse, err = realPath(path)
	}
	return err
}
