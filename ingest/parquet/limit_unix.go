//go:build unix

package parquet

import (
	"errors"
	"syscall"
)

// limit bounds the memory and the processor time of this process.
func limit(seconds uint64) error {
	for what, most := range map[int]uint64{syscall.RLIMIT_DATA: memoryLimit, syscall.RLIMIT_CPU: seconds, syscall.RLIMIT_CORE: 0} {
		var now syscall.Rlimit
		if err := syscall.Getrlimit(what, &now); err != nil {
			return err
		}
		most = min(most, now.Max)
		if err := syscall.Setrlimit(what, &syscall.Rlimit{Cur: most, Max: most}); err != nil && !errors.Is(err, syscall.EPERM) {
			return err
		}
	}
	return nil
}
