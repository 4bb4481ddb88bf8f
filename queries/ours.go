package queries

import (
	"context"
	"errors"
	"fmt"
)

// Ours reports whether a file is a finished warehouse of this program, of
// whatever version. An error says that the file cannot be looked into: it is
// damaged, held by another process, or no database file of this engine.
func Ours(ctx context.Context, path string) (ours bool, err error) {
	made, err := madeByThisEngine(path)
	if err != nil {
		return false, fmt.Errorf("look into %q: %w", path, err)
	}
	if !made {
		return false, fmt.Errorf("look into %q: %w: it is no file of this database engine", path, ErrOtherVersion)
	}
	w, err := open(ctx, path, Options{Threads: 1}, "read_only")
	if err != nil {
		return false, fmt.Errorf("look into %q: %w", path, err)
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	if ours, err = w.ended(ctx); err != nil {
		return false, fmt.Errorf("look into %q: %w", path, err)
	}
	return ours, nil
}
