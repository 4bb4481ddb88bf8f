package queries

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"time"

	"github.com/marcboeker/go-duckdb"

	"fluedrift/model/day"
)

// Kind is what the cells of an answer's column hold.
type Kind string

// The kinds of cells of an answer. Numbers are those that float64 holds exactly, and
// fractions; a column with a whole number beyond that holds texts.
const (
	TextKind   Kind = "text"
	NumberKind Kind = "number"
	DayKind    Kind = "day"
)

// Asked is what a question of somebody's own SQL gives.
type Asked struct {
	Names []string
	Kinds []Kind
	Rows  [][]Cell
	More  bool // there were more rows than were asked for
}

// Cell is one value of an answer.
type Cell struct {
	Known  bool
	Text   string
	Number float64
	Day    day.Day
}

// Limits of an answer.
type Limits struct {
	Rows int           // rows handed on
	Time time.Duration // until the engine is stopped
}

// What can be wrong with a question. Test with errors.Is.
var (
	// ErrQuestion: the statement is not one that is run here, or cannot be: it is not
	// one statement, it writes, it reaches beyond the warehouse, or names what is not there.
	ErrQuestion = errors.New("not a question to the warehouse")
	// ErrTooLong: the answer was not there in time.
	ErrTooLong = errors.New("not answered in time")
	// ErrTooLarge: the answer takes more memory than a question may have.
	ErrTooLarge = errors.New("more memory needed than a question may have")
)

// Questions answers somebody's own SQL.
type Questions struct{ *session }

// Ask runs one statement that reads. Lists and structures come as JSON, bytes in
// hexadecimal digits, times as ISO 8601.
func (q Questions) Ask(ctx context.Context, statement string, limits Limits) (*Asked, error) {
	ctx, stop := context.WithTimeout(ctx, limits.Time)
	defer stop()
	a, err := q.ask(ctx, statement, limits.Rows)
	switch {
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return nil, fmt.Errorf("%w: stopped after %s", ErrTooLong, limits.Time)
	case ctx.Err() != nil:
		return nil, ctx.Err()
	}
	return a, ofQuestion(err)
}

func (q Questions) ask(ctx context.Context, statement string, most int) (a *Asked, err error) {
	prepared, err := q.conn.PrepareContext(ctx, statement)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, prepared.Close()) }()
	rows, err := prepared.QueryContext(ctx)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	types, err := rows.ColumnTypes()
	if err != nil {
		return nil, err
	}
	a = &Asked{}
	for _, t := range types {
		a.Names, a.Kinds = append(a.Names, t.Name()), append(a.Kinds, kindOf(t.DatabaseTypeName()))
	}
	return a, a.take(rows, types, most)
}

// take fills the rows.
func (a *Asked) take(rows *sql.Rows, types []*sql.ColumnType, most int) error {
	values, into := make([]any, len(types)), make([]any, len(types))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if len(a.Rows) == most {
			a.More = true
			return nil
		}
		if err := rows.Scan(into...); err != nil {
			return err
		}
		row := make([]Cell, len(types))
		for i, v := range values {
			cell, exact, err := cellOf(v, types[i].DatabaseTypeName())
			if err != nil {
				return err
			}
			if row[i] = cell; !exact {
				a.Kinds[i] = TextKind
			}
		}
		a.Rows = append(a.Rows, row)
	}
	return rows.Err()
}

// kindOf is the kind of a column by the engine's name of its type.
func kindOf(name string) Kind {
	switch {
	case name == "DATE":
		return DayKind
	case strings.HasSuffix(name, "INT") || strings.HasSuffix(name, "INTEGER") || strings.HasPrefix(name, "DECIMAL"),
		name == "DOUBLE", name == "FLOAT":
		return NumberKind
	}
	return TextKind
}

// wholeExact is the largest whole number up to which float64 holds all.
const wholeExact = 1 << 53

// cellOf is a value as the driver gives it. exact is false for a number that float64
// does not hold.
func cellOf(v any, name string) (c Cell, exact bool, err error) {
	c.Known, exact = v != nil, true
	switch v := v.(type) {
	case nil:
	case string:
		c.Text = v
	case bool:
		c.Text = strconv.FormatBool(v)
	case float64:
		c.Number, c.Known = v, !math.IsNaN(v) && !math.IsInf(v, 0)
		c.Text = strconv.FormatFloat(v, 'f', -1, 64)
	case float32:
		c.Text = strconv.FormatFloat(float64(v), 'f', -1, 32)
		c.Number, err = strconv.ParseFloat(c.Text, 64)
	case duckdb.Decimal:
		c.Text, c.Number = decimalText(v), v.Float64()
	case *big.Int:
		c.Text, exact = v.String(), v.IsInt64() && v.Int64() <= wholeExact && v.Int64() >= -wholeExact
		c.Number, _ = new(big.Float).SetInt(v).Float64()
	case time.Time:
		c.Text, c.Day = timeText(v, name), day.In(v)
	case []byte:
		c.Text = hex.EncodeToString(v)
	case int8, int16, int32, int64, uint8, uint16, uint32, uint64:
		c.Text = fmt.Sprint(v)
		c.Number, err = strconv.ParseFloat(c.Text, 64)
		exact = math.Abs(c.Number) <= wholeExact
	default:
		var text []byte
		text, err = json.Marshal(bareValue(v))
		c.Text = string(text)
	}
	return c, exact, err
}

// decimalText writes a decimal with all its digits.
func decimalText(d duckdb.Decimal) string {
	return new(big.Rat).SetFrac(d.Value, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(d.Scale)), nil)).FloatString(int(d.Scale))
}

// timeText writes a time as ISO 8601 does, by its type.
func timeText(t time.Time, name string) string {
	switch {
	case name == "DATE":
		return t.Format(time.DateOnly)
	case name == "TIME":
		return t.Format("15:04:05.999999")
	case strings.HasSuffix(name, "TZ") || strings.HasSuffix(name, "TIME ZONE"):
		return t.UTC().Format("2006-01-02T15:04:05.999999Z")
	}
	return t.Format("2006-01-02T15:04:05.999999")
}

// bareValue is a list, a structure or what they hold as JSON has it.
func bareValue(v any) any {
	switch v := v.(type) {
	case []any:
		out := make([]any, len(v))
		for i, one := range v {
			out[i] = bareValue(one)
		}
		return out
	case map[string]any:
		out := make(map[string]any, len(v))
		for name, one := range v {
			out[name] = bareValue(one)
		}
		return out
	case duckdb.Map:
		out := make(map[string]any, len(v))
		for name, one := range v {
			out[fmt.Sprint(name)] = bareValue(one)
		}
		return out
	case time.Time:
		if v.Equal(v.Truncate(24 * time.Hour)) {
			return v.Format(time.DateOnly)
		}
		return timeText(v, "")
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	case duckdb.Decimal:
		return json.Number(decimalText(v))
	}
	return v
}

// ofQuestion tells the errors of a question from those of the program. The driver
// gives a type by the text of the engine; two kinds it does not know.
func ofQuestion(err error) error {
	if err == nil || Damaged(err) {
		return err
	}
	of, known := errors.AsType[*duckdb.Error](err)
	if !known {
		return fmt.Errorf("%w: %w", ErrQuestion, err) // the driver's own: no statement, or several
	}
	switch of.Type {
	case duckdb.ErrorTypeOutOfMemory:
		return ErrTooLarge
	case duckdb.ErrorTypeIO, duckdb.ErrorTypeFatal, duckdb.ErrorTypeInternal:
		return err
	}
	return fmt.Errorf("%w: %w", ErrQuestion, err)
}
