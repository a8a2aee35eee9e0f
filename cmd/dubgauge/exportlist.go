package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"dubgauge/detect/standout"
	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

// exportList is the command that writes tracks as a list for players.
func (a *app) exportList(name, what string, form library.PlaylistFormat) *cobra.Command {
	var f listFlags
	var out outputFlags
	var list string
	cmd := &cobra.Command{
		Use:   name,
		Short: "Write " + what + " of the library, or of a part of it",
		Long: fmt.Sprintf(`Writes %s of the tracks that the options ask for, in UTF-8. The paths are
relative to the playlist where it lies on the same stick, so that it holds wherever the
stick turns up; others are absolute. Tracks on sticks that are not plugged in are left
out, unless --all is given. With --list the tracks are those of another playlist that were
found in the library, in its order.`, what),
		Example: fmt.Sprintf("  dubgauge export %[1]s --verdict ready -o /media/STICK/ready.%[1]s\n"+
			"  dubgauge export %[1]s --status unreleased --sort tempo\n"+
			"  dubgauge export %[1]s --list old.m3u -o new.%[1]s", name),
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	out.add(cmd, "write to `FILE` instead of standard output")
	f.filters(cmd)
	cmd.Flags().StringVar(&f.sort, "sort", string(words.ByName), words.SortHelp)
	cmd.Flags().StringVar(&list, "list", "", listHelp)
	cmd.Flags().BoolVar(&f.all, "all", false, "also tracks on sticks that are not plugged in")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		key, err := words.ParseSortKey(f.sort)
		if err == nil {
			err = f.check()
		}
		if err != nil {
			return usageError{err}
		}
		if list != "" && cmd.Flags().Changed("sort") {
			return usageError{errors.New("--list keeps the order of the list: leave out --sort")}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			title, tracks, err := a.listed(ctx, db, list, key, judge())
			if err != nil {
				return err
			}
			sticks := a.newPlugged(f.all)
			shown := slices.DeleteFunc(tracks, func(t *library.Track) bool { return !f.keeps(t) || !sticks.in(t) })
			sticks.sayLeft()
			return a.save(ctx, db, out, len(shown), func(w io.Writer) error {
				return sheet.List(w, form, cmp.Or(title, f.verdict), shown, folderOf(out.file))
			})
		})
	}
	return cmd
}

// listed are the tracks of a list with its title, those of the library in the order of key
// where none is given.
func (a *app) listed(ctx context.Context, db *library.DB, list string, key words.SortKey, judge standout.Options) (title string, all []*library.Track, err error) {
	if list != "" {
		r, err := a.readOrder(ctx, db, list, judge)
		if err != nil {
			return "", nil, err
		}
		return r.List.Title, r.Tracks(), nil
	}
	tracks, err := db.Tracks(ctx, library.TrackOptions{Brief: true, Judge: judge})
	return "", words.Sorted(tracks, key), err
}

// filters are the options that say which tracks are asked for.
func (f *listFlags) filters(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.status, "status", "", "only `STATUS`: released, unreleased or unknown")
	fl.StringVar(&f.verdict, "verdict", "", "only `VERDICT`: ready, check, 'hold back' or unreadable")
	fl.StringVar(&f.text, "text", "", "only tracks with `TEXT` in path, title, artist or reasons")
}

// folderOf is the folder in which a file will lie, without links, as roots are; "" for
// standard output.
func folderOf(file string) string {
	if file == "" || file == "-" {
		return ""
	}
	dir, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return ""
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		return real
	}
	return dir
}
