// Command fluedrift reads years of exported combustion-service records of a
// fleet of gas boilers and writes ranked lists of the units due for attention.
package main

import "os"

func main() {
	os.Exit(run(systemContext(), os.Args[1:], systemStreams()))
}
