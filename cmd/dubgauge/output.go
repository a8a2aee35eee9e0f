package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"dubgauge/export/output"
	"dubgauge/export/page"
	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

// outputFlags say where a command writes to.
type outputFlags struct {
	file      string
	overwrite bool
}

func (o *outputFlags) add(cmd *cobra.Command, help string) {
	cmd.Flags().StringVarP(&o.file, "output", "o", "", help)
	cmd.Flags().BoolVar(&o.overwrite, "overwrite", false, "replace FILE also when dubgauge did not write it")
}

// save writes to standard output, or to a file that appears only when it is whole.
func (a *app) save(ctx context.Context, db *library.DB, o outputFlags, tracks int, write func(io.Writer) error) error {
	if o.file == "" || o.file == "-" {
		return write(a.out)
	}
	if err := output.Write(ctx, o.file, a.outputRules(ctx, db, o), write); err != nil {
		return outputError(o.file, err)
	}
	a.say("%s written to %s.\n%s", words.Counted(tracks, "track"), words.Printable(o.file), caution)
	return nil
}

// outputError names the file in an error that does not.
func outputError(file string, err error) error {
	if errors.As(err, new(*output.Refusal)) || errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("cannot write %s: %w", file, library.Reason(err))
}

// outputRules are what every command keeps to that writes a file.
func (a *app) outputRules(ctx context.Context, db *library.DB, o outputFlags) output.Options {
	return output.Options{
		Overwrite: o.overwrite,
		Ours:      func(head []byte) bool { return sheet.Ours(head) || page.Ours(head) },
		Keep: func(path string) (string, error) {
			why, err := keep(ctx, db, path)
			if why == "" && err == nil && library.MusicName(path) {
				why = "has a name of music, which this is not: the next scan would take it for a broken track; choose another name"
			}
			return why, err
		},
	}
}

// keep says why the file at path must stay whatever is asked for.
func keep(ctx context.Context, db *library.DB, path string) (string, error) {
	if library.IsDatabase(path) {
		return "belongs to a database of dubgauge, which has your marks: choose another name", nil
	}
	if _, err := os.Stat(path); err != nil {
		return "", nil // nothing is there
	}
	music, err := library.IsMusicOf(ctx, db, path)
	if music {
		return "is a track of your library: choose another name", err
	}
	return "", err
}
