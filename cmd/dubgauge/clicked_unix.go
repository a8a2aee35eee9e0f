//go:build !windows

package main

import (
	"os"
	"runtime"
)

// howStarted asks for the terminal of this session (tty(4)): what a desktop starts has none, while
// a script in a terminal has it whatever its outputs are. A screen is there where X or Wayland name
// one; macOS always has one.
func howStarted() started {
	s := started{screen: runtime.GOOS == "darwin" || os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""}
	for _, f := range []*os.File{os.Stdin, os.Stdout, os.Stderr} {
		s.terminal = s.terminal || terminalOf(f).is
	}
	if tty, err := os.OpenFile("/dev/tty", os.O_RDWR, 0); err == nil {
		s.terminal = true
		tty.Close()
	}
	return s
}
