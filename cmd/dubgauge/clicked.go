package main

import (
	"bufio"
	"io"
)

// started is how the program came to run, as far as the system tells.
type started struct {
	terminal bool // one is attached, or a console that others use too
	screen   bool // there is a screen that a browser can show itself on
	console  bool // a console that was made for this program, and closes with it
}

// byClick tells that the program was started from a file manager, a menu or a desktop: nobody
// would see the help then.
func (s started) byClick() bool { return s.console || !s.terminal && s.screen }

// clickedArgs are what the program does when it is started by a double click.
var clickedArgs = []string{"serve", "--open"}

// runStarted is run, but for a double click: then the page opens, and what goes wrong is held
// until it was read.
func runStarted(s started, args []string, in io.Reader, run func(args []string) int, say func(string)) int {
	if len(args) > 0 || !s.byClick() {
		return run(args)
	}
	status := run(clickedArgs)
	if status != exitOK && s.console {
		say("Press Enter to close this window.")
		_, _ = bufio.NewReader(in).ReadString('\n') // whatever it is, that was it
	}
	return status
}
