package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// path is the database that the user asked for, or the user's own.
func (a *app) path() (string, error) {
	if a.dbPath != "" {
		return filepath.Abs(a.dbPath)
	}
	return library.DefaultPath()
}

// open opens the database, making it when it is not there yet.
func (a *app) open(ctx context.Context) (*library.DB, error) {
	path, err := a.path()
	if err != nil {
		return nil, err
	}
	return library.Open(ctx, path)
}

// openExisting opens the database of an earlier scan.
func (a *app) openExisting(ctx context.Context) (*library.DB, error) {
	path, err := a.path()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf(noDatabase, path)
	}
	return library.Open(ctx, path)
}

// withDB runs f on the database of an earlier scan.
func (a *app) withDB(cmd *cobra.Command, f func(ctx context.Context, db *library.DB) error) error {
	db, err := a.openExisting(cmd.Context())
	if err != nil {
		return err
	}
	defer db.Close()
	return f(cmd.Context(), db)
}

// call is how the user starts a next command on the same database.
func (a *app) call() string {
	name := "dubgauge"
	if exe, err := os.Executable(); err == nil && strings.Contains(filepath.ToSlash(exe), "/go-build") {
		name = "go run ./cmd/dubgauge" // so it was started, and there is no other
	}
	if a.dbPath == "" {
		return name
	}
	return name + " --db " + quoted(a.dbPath)
}

// quoted writes an argument as a shell wants it.
func quoted(s string) string {
	plain := func(r rune) bool {
		return r == '/' || r == '.' || r == '-' || r == '_' || r == '#' ||
			'0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z'
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 && s[0] != '#' {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// find looks up the one track that a query means.
func find(ctx context.Context, db *library.DB, query string) (library.Track, error) {
	found, err := db.Find(ctx, query)
	if err != nil {
		return library.Track{}, err
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return library.Track{}, fmt.Errorf("%q: no such track: \"dubgauge list\" shows what there is", query)
	}
	const shown = 8
	lines := make([]string, 0, shown)
	sticks := words.SticksOf(found)
	for i, t := range found {
		if i == shown {
			lines = append(lines, fmt.Sprintf("  and %d more", len(found)-shown))
			break
		}
		lines = append(lines, fmt.Sprintf("  #%d  %s", t.ID, words.OneLine(sticks.Place(&t))))
	}
	return library.Track{}, fmt.Errorf("%q means %d tracks: say which, by more of the name or by number:\n%s",
		query, len(found), strings.Join(lines, "\n"))
}

// completeTracks offers the paths of the library to the shell.
func (a *app) completeTracks(cmd *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
	db, err := a.openExisting(cmd.Context())
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	defer db.Close()
	paths, err := db.Paths(cmd.Context())
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return paths, cobra.ShellCompDirectiveNoFileComp
}

// judgeFlags adds --ceiling to a command and returns what it sets.
func judgeFlags(cmd *cobra.Command) func() standout.Options {
	ceiling := cmd.Flags().Float64("ceiling", standout.DefaultCeiling, "highest true peak that a trim in the file may reach, in `dBTP`")
	return func() standout.Options { return standout.Options{Ceiling: ceiling} }
}
