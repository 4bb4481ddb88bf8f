// Command fluedrift reads years of exported combustion-service records of a
// fleet of gas boilers and writes ranked lists of the units due for attention.
//
// Its tests play whole nights: in the normal suite those that show the most, with
// FLUEDRIFT_NIGHTS=1 (as .ci/run does) the others too, and with FLUEDRIFT_LONG=1
// all of them over many seeds, kills and variants.
package main

import (
	"os"

	"fluedrift/ingest/parquet"
)

func main() {
	parquet.Serve() // returns at once but in the process that reads a Parquet file for another
	os.Exit(run(systemContext(), os.Args[1:], systemStreams()))
}
