package fleet

import (
	"os"
	"testing"
)

// TestWriteSomewhere writes the demo where FLEET_DIR says, to be looked at.
func TestWriteSomewhere(t *testing.T) {
	dir := os.Getenv("FLEET_DIR")
	if dir == "" {
		t.Skip("FLEET_DIR not set")
	}
	if err := New(Options{}).Write(dir); err != nil {
		t.Fatal(err)
	}
}
