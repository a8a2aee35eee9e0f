package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"dubgauge/export/sheet"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (a *app) exportCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "export trims|tracks|m3u8|xspf",
		Short: "Write the trim sheet, every figure, or a playlist",
		Args:  cobra.NoArgs,
	}
	cmd.AddCommand(
		a.exportOne("trims", "Write the trim sheet: one row a track", true,
			map[string]writer{"csv": alone(sheet.TrimsCSV), "json": alone(sheet.TrimsJSON)}),
		a.exportOne("tracks", "Write every figure of every track", false,
			map[string]writer{"csv": sheet.TracksCSV, "json": sheet.SortedJSON}),
		a.exportList("m3u8", "an M3U8 playlist", library.M3U),
		a.exportList("xspf", "an XSPF playlist", library.XSPF))
	return cmd
}

// writer writes tracks in one form and order; fill reads what a list does not show.
type writer func(w io.Writer, tracks []library.Track, key words.SortKey, fill whole.Fill) error

// alone is a writer of what a list shows.
func alone(write func(io.Writer, []library.Track, words.SortKey) error) writer {
	return func(w io.Writer, tracks []library.Track, key words.SortKey, _ whole.Fill) error {
		return write(w, tracks, key)
	}
}

// filler reads the records of tracks, texter their text.
func filler(ctx context.Context, db *library.DB) whole.Fill {
	return func(tracks []*library.Track) error { return db.Fill(ctx, tracks) }
}

func texter(ctx context.Context, db *library.DB) whole.Fill {
	return func(tracks []*library.Track) error { return db.FillText(ctx, tracks) }
}

func (a *app) exportOne(name, short string, brief bool, forms map[string]writer) *cobra.Command {
	var format, order, list string
	var out outputFlags
	cmd := &cobra.Command{
		Use:   name,
		Short: short,
		Long:  short + ".\nThe CSV is RFC 4180 in UTF-8; the JSON has one object a line." + listWords(brief) + "\n\n" + caution,
		Example: fmt.Sprintf("  dubgauge export %[1]s -o %[1]s.csv\n  dubgauge export %[1]s --format json\n"+
			"  dubgauge export %[1]s --sort verdict\n  dubgauge export %[1]s --ceiling -1 -o %[1]s.csv", name),
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	out.add(cmd, "write to `FILE` instead of standard output")
	cmd.Flags().StringVar(&format, "format", "", "`FORMAT`: csv or json (default: by the ending of FILE, else csv)")
	cmd.Flags().StringVar(&order, "sort", string(words.ByMismatch), words.SortHelp)
	if brief {
		cmd.Flags().StringVar(&list, "list", "", listHelp)
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		key, err := words.ParseSortKey(order)
		if err != nil {
			return usageError{err}
		}
		if format == "" {
			format = "csv"
			if e := filepath.Ext(out.file); e == ".json" || e == ".jsonl" {
				format = "json"
			}
		}
		read := filler
		if format == "json" {
			read = texter
		}
		write, ok := forms[format]
		if !ok {
			return usageError{fmt.Errorf("--format %q: choose csv or json", format)}
		}
		if list != "" && (format != "csv" || cmd.Flags().Changed("sort")) {
			return usageError{errors.New("--list gives CSV in the order of the list: leave out --format and --sort")}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			if list != "" {
				return a.saveOrder(ctx, db, list, judge(), out, sheet.OrderCSV)
			}
			tracks, err := db.Tracks(ctx, library.TrackOptions{Brief: brief, Judge: judge()})
			if err != nil {
				return err
			}
			return a.save(ctx, db, out, len(tracks), func(w io.Writer) error { return write(w, tracks, key, read(ctx, db)) })
		})
	}
	return cmd
}
