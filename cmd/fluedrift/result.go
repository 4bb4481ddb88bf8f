package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

// readConfig reads the configuration of a command and refuses a result file that
// would touch what is read or made by it, before any work is done.
func (c *call) readConfig() (*settings.Config, error) {
	cfg, err := publish.ReadSettings(c.config)
	if err != nil {
		return nil, err
	}
	c.guards = append(publish.Inputs(cfg), publish.Outputs(cfg)...)
	if c.intoStore {
		return cfg, publish.WarehouseAt(cfg, c.output)
	}
	return cfg, c.checkOutput()
}

// checkOutput looks at -o before any work is done.
func (c *call) checkOutput() error {
	switch {
	case c.output == "":
		return nil
	case c.intoFolder:
		return publish.Allowed("-o", c.output, c.guards)
	}
	_, err := publish.DestinationOf("-o", c.output, c.guards)
	return err
}

// writeResult writes a result to standard output or to the file asked for: a
// regular file is written whole or not at all.
func (c *call) writeResult(write func(w io.Writer) error) error {
	if c.output == "" {
		return write(c.out)
	}
	p, err := publish.DestinationOf("-o", c.output, c.guards)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	if !p.Replaces() {
		signal.Reset(os.Interrupt, syscall.SIGTERM) // a pipe may wait for its reader: a signal ends the wait
	}
	if err := p.Put(b.Bytes(), 0o600); err != nil {
		return fmt.Errorf("cannot write %s: %w", c.output, err)
	}
	return nil
}
