//go:build unix

package cli

import (
	"os"
	"os/exec"
	"strconv"
	"syscall"
)

// smallDisk runs a command that may make no file larger than so many bytes: smalldisk BYTES COMMAND ARGS... A write past the limit
// fails (setrlimit, POSIX: RLIMIT_FSIZE), which is as near to a disk without room as a test gets without mounting one.
func smallDisk(args []string) int {
	limit, err := strconv.ParseUint(args[0], 10, 64)
	if err != nil {
		return 2
	}
	path, err := exec.LookPath(args[1])
	if err != nil {
		return 2
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: limit, Max: limit}); err != nil {
		return 2
	}
	if err := syscall.Exec(path, args[1:], os.Environ()); err != nil {
		return 2
	}
	return 0
}
