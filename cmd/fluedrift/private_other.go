//go:build !unix

package main

// umaskPrivate and ignoreSizeSignal have no meaning here.
func umaskPrivate()     {}
func ignoreSizeSignal() {}
