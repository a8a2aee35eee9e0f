package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

// exportList is the command that writes tracks as a list for players.
func (a *app) exportList(name, what string, form library.PlaylistFormat) *cobra.Command {
	var f listFlags
	var out outputFlags
	cmd := &cobra.Command{
		Use:   name,
		Short: "Write " + what + " of the library, or of a part of it",
		Long: fmt.Sprintf(`Writes %s of the tracks that the options ask for, in UTF-8. The paths are
relative to the playlist where it lies on the same stick, so that it holds wherever the
stick turns up; others are absolute. Tracks on sticks that are not plugged in are left
out, unless --all is given.`, what),
		Example: fmt.Sprintf("  dubgauge export %[1]s --verdict ready -o /media/STICK/ready.%[1]s\n"+
			"  dubgauge export %[1]s --status unreleased --sort tempo", name),
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	out.add(cmd, "write to `FILE` instead of standard output")
	f.filters(cmd)
	cmd.Flags().StringVar(&f.sort, "sort", string(words.ByName), words.SortHelp)
	cmd.Flags().BoolVar(&f.all, "all", false, "also tracks on sticks that are not plugged in")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		key, err := words.ParseSortKey(f.sort)
		if err == nil {
			err = f.check()
		}
		if err != nil {
			return usageError{err}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			tracks, err := db.Tracks(ctx, library.TrackOptions{Brief: true, Judge: judge()})
			if err != nil {
				return err
			}
			sticks := a.newPlugged(f.all)
			shown := slices.DeleteFunc(words.Sorted(tracks, key), func(t *library.Track) bool { return !f.keeps(t) || !sticks.in(t) })
			sticks.sayLeft()
			return a.save(ctx, db, out, len(shown), func(w io.Writer) error {
				return sheet.List(w, form, f.verdict, shown, folderOf(out.file))
			})
		})
	}
	return cmd
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
