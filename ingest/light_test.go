package ingest

import (
	"testing"

	"fluedrift/datasets/measured"
	"fluedrift/ingest/parquet"
)

func TestMain(m *testing.M) {
	parquet.Serve()
	measured.Light()
	m.Run()
}
