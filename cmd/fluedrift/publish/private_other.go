//go:build !unix

package publish

// UmaskPrivate and IgnoreSizeSignal have no meaning here.
func UmaskPrivate()     {}
func IgnoreSizeSignal() {}
