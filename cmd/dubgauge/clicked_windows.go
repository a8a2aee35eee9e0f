package main

import (
	"syscall"
	"unsafe"
)

// howStarted counts the programs on this console (GetConsoleProcessList): a shell is one of them,
// unless the console was made for this program alone. Without a console there is no terminal.
func howStarted() started {
	var ids [2]uint32
	n, _, _ := syscall.NewLazyDLL("kernel32.dll").NewProc("GetConsoleProcessList").Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return started{terminal: n > 1, screen: true, console: n == 1}
}
