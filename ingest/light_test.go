package ingest

import (
	"testing"

	"fluedrift/datasets/measured"
)

func TestMain(m *testing.M) {
	measured.Light()
	m.Run()
}
