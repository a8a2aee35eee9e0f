//go:build unix

package live

import "syscall"

func pipe(path string) error { return syscall.Mkfifo(path, 0o600) }
