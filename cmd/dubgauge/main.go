// Command dubgauge reads a DJ's track library before a gig and says which tracks
// are ready to be played next to released records, which would stand out in
// level or in low end, by how much, and what to do about it.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), ending()...)
	status := runStarted(howStarted(), os.Args[1:], os.Stdin,
		func(args []string) int { return run(ctx, args, os.Stdin, os.Stdout, os.Stderr) },
		func(line string) { fmt.Fprintln(os.Stderr, line) })
	stop()
	os.Exit(status)
}

// ending are the signals that stop a command in good order. One that was set to be
// ignored, as nohup does, stays so.
func ending() []os.Signal {
	all := []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGQUIT}
	if !signal.Ignored(syscall.SIGHUP) {
		all = append(all, syscall.SIGHUP)
	}
	return all
}
