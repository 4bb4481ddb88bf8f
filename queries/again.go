package queries

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
)

// Copy makes a warehouse of its own from a finished one, open for writing: its
// relations can be built again for other days without touching the original. A
// file of the new name is an error. The copy is the caller's to Remove.
func Copy(ctx context.Context, from, to string, o Options) (*Warehouse, error) {
	whole, err := Open(ctx, from, o) // refuses what is broken or of another version
	if err != nil {
		return nil, err
	}
	asOf, err := whole.AsOf(), whole.Close()
	if err != nil {
		return nil, err
	}
	if err := copyFile(from, to); err != nil {
		return nil, fmt.Errorf("copy warehouse %q: %w", from, err)
	}
	w, err := open(ctx, to, o, "read_write")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("copy warehouse %q: %w", from, err), Remove(to))
	}
	w.asOf = asOf
	return w, nil
}

// copyFile copies bytes to a file that is not there yet.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
