package main

import (
	"context"
	"errors"
	"io"
	"time"

	"github.com/spf13/cobra"

	"dubgauge/export/output"
	"dubgauge/export/words"
)

// Exit statuses, which other programs rely on.
const (
	exitOK       = 0
	exitError    = 1 // the program could not do its job, or a file could not be measured
	exitUsage    = 2
	exitHeldBack = 3 // the job is done; a track is held back or unreadable
)

// app is what every command needs.
type app struct {
	in       io.Reader
	out, err io.Writer
	term     terminal // of out
	talk     terminal // of err
	dbPath   string   // empty: the user's own
	started  bool     // arguments were understood, a command runs
}

// errHeldBack ends a scan whose tracks are not all ready: no message, its own
// status.
var errHeldBack = errors.New("a track is held back or unreadable")

// errUnmeasured ends measure when a record has an error in it; the record says
// it all.
var errUnmeasured = errors.New("a file could not be measured")

// run is the whole program. It returns the exit status.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	a := &app{in: in, out: out, err: errOut, term: terminalOf(out), talk: terminalOf(errOut)}
	root := a.rootCommand()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errOut)
	err := stoppable(ctx, func() error { return root.ExecuteContext(ctx) })
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errHeldBack):
		return exitHeldBack
	case errors.Is(err, errUnmeasured):
		return exitError
	case errors.Is(err, context.Canceled):
		a.say(stoppedWords)
		return exitError
	}
	a.say("dubgauge: %s", words.Printable(words.Error(err)))
	if a.started && !errors.As(err, new(usageError)) {
		return exitError
	}
	a.say("Try 'dubgauge help'.")
	return exitUsage
}

// patience is how long a command that was told to stop may take to do so: what it has
// stored is safe at any moment, and nobody who pressed Ctrl-C waits for a page of 50,000
// tracks to be laid out.
var patience = time.Second // shorter in a test

// abandon removes what files there are on their way.
var abandon = output.Abandon

// stoppable runs a command; one that does not end soon after its context is left behind.
func stoppable(ctx context.Context, command func() error) error {
	done := make(chan error, 1)
	go func() { done <- command() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	select {
	case err := <-done:
		return err
	case <-time.After(patience):
		abandon()
		return ctx.Err()
	}
}

// usageError is a wrong call that is found out only when a command runs.
type usageError struct{ error }

func (a *app) rootCommand() *cobra.Command {
	cobra.MousetrapHelpText = "" // a double click on Windows is for runStarted
	root := &cobra.Command{
		Use:           "dubgauge",
		Short:         "Which tracks are ready to be played next to released records",
		Long:          rootLong,
		Example:       rootExample,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.PersistentFlags().StringVar(&a.dbPath, "db", "", "database `FILE` (default: in your data folder)")
	root.AddCommand(a.scanCommand(), a.measureCommand(), a.listCommand(), a.showCommand(), a.compareCommand(),
		a.markCommand(), a.orderCommand(), a.nextCommand(), a.exportCommand(), a.renderCommand(), a.reportCommand(), a.serveCommand(), a.demoCommand(), a.versionCommand())
	a.noteStart(root)
	return root
}

// noteStart makes each command below c say when it starts: what goes wrong
// before is a wrong call.
func (a *app) noteStart(c *cobra.Command) {
	if do := c.RunE; do != nil {
		c.RunE = func(cmd *cobra.Command, args []string) error {
			a.started = true
			return do(cmd, args)
		}
	}
	for _, sub := range c.Commands() {
		a.noteStart(sub)
	}
}

// needs is an argument check with a message that says what to type.
func needs(least, most int, message string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < least || (most >= 0 && len(args) > most) {
			return errors.New(message)
		}
		return nil
	}
}
