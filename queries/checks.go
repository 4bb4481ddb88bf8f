package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path"
	"strings"
)

// Check is a rule every warehouse keeps, with the rows that break it.
type Check struct {
	Name  string   // of the file in the folder check
	Wrong int64    // rows that break it, 0 when all is well
	First []string // the first three of them as text
}

// firstOfWrong rows are shown of a check.
const firstOfWrong = 3

// Checker runs the rules of folder check over a warehouse.
type Checker struct{ *session }

// Checks runs every check, in order of their names.
func (k Checker) Checks(ctx context.Context) ([]Check, error) {
	var all []Check
	for _, s := range steps("check") {
		c, err := k.check(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.name, err)
		}
		all = append(all, c)
	}
	return all, nil
}

func (k Checker) check(ctx context.Context, s step) (c Check, err error) {
	c.Name = strings.TrimSuffix(path.Base(s.name), ".sql")
	rows, err := k.conn.QueryContext(ctx, s.text)
	if err != nil {
		return c, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	names, err := rows.Columns()
	if err != nil {
		return c, err
	}
	for rows.Next() {
		c.Wrong++
		if c.Wrong > firstOfWrong {
			continue
		}
		one, err := rowText(rows, names)
		if err != nil {
			return c, err
		}
		c.First = append(c.First, one)
	}
	return c, rows.Err()
}

// rowText writes a row as "name value, name value".
func rowText(rows *sql.Rows, names []string) (string, error) {
	values, places := make([]any, len(names)), make([]any, len(names))
	for i := range values {
		places[i] = &values[i]
	}
	if err := rows.Scan(places...); err != nil {
		return "", err
	}
	parts := make([]string, len(names))
	for i, v := range values {
		parts[i] = fmt.Sprintf("%s %v", names[i], v)
	}
	return strings.Join(parts, ", "), nil
}
