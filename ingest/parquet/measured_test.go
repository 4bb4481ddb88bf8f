package parquet

import "flag"

// With FLUEDRIFT_LONG=1 and -update a test that measures rewrites its figures in
// datasets/measured.
var _ = flag.Bool("update", false, "rewrite the figures of this package in datasets/measured")
