//go:build unix

package stream

import "syscall"

const nonblock = syscall.O_NONBLOCK
