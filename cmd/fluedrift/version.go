package main

import (
	"context"
	"fmt"
)

// version names the program. A warehouse made by another version is not read.
const version = "0.1.0"

var versionCommand = command{"version", "", "the version of the program", func(_ context.Context, c *call) error {
	_, err := fmt.Fprintln(c.out, "fluedrift", version)
	return err
}}
