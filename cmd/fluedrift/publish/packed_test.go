package publish

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A packed list is read like one that is not, its bytes are the same each time, and one
// that is cut short is an error.
func TestPackedFiles(t *testing.T) {
	dir := t.TempDir()
	const text = `{"list":"co","rows":[]}`
	plain := File{"co.json", 3, func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}}
	packed := Packed(plain)
	require.Equal(t, "co.json.gz", packed.Name)
	var first, second bytes.Buffer
	require.NoError(t, packed.Write(&first))
	require.NoError(t, packed.Write(&second))
	require.Equal(t, first.Bytes(), second.Bytes())

	_, name, _, err := ReadFile(dir, "co.json")
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.Equal(t, "co.json", name)
	at := filepath.Join(dir, packed.Name)
	require.NoError(t, os.WriteFile(at, first.Bytes(), 0o600))
	got, name, raw, err := ReadFile(dir, "co.json")
	require.NoError(t, err)
	require.Equal(t, []any{text, packed.Name, first.Bytes()}, []any{string(got), name, raw})
	for _, cut := range []int{0, 5, first.Len() - 1} {
		require.NoError(t, os.WriteFile(at, first.Bytes()[:cut], 0o600))
		_, _, _, err = ReadFile(dir, "co.json")
		require.ErrorContains(t, err, "co.json.gz", cut)
	}
}
