package lines

import (
	"bytes"
	"compress/gzip"
	"io"
	"math/rand"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestUnpackTempHasNoName: what is unpacked has no name in the folder for
// temporary files from its first byte on, so that a killed run leaves nothing.
func TestUnpackTempHasNoName(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := io.CopyN(z, rand.New(rand.NewSource(1)), 1<<20)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	looked := 0
	file, size, err := unpackTemp(io.TeeReader(&packed, writerFunc(func([]byte) {
		if looked++; looked > 1 { // the first bytes are the head of the stream
			left, err := os.ReadDir(os.TempDir())
			require.NoError(t, err)
			assert.Empty(t, left)
		}
	})), 0)
	require.NoError(t, err)
	assert.Equal(t, int64(1<<20), size)
	assert.Greater(t, looked, 2)
	require.NoError(t, file.Close())
}

type writerFunc func([]byte)

func (f writerFunc) Write(p []byte) (int, error) { f(p); return len(p), nil }
