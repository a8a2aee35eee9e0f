package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (a *app) exportCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "export trims|tracks",
		Short: "Write the trim sheet, or every figure, as CSV or JSON",
		Args:  cobra.NoArgs,
	}
	cmd.AddCommand(
		a.exportOne("trims", "Write the trim sheet: one row a track",
			map[string]writer{"csv": sheet.TrimsCSV, "json": sheet.TrimsJSON}),
		a.exportOne("tracks", "Write every figure of every track",
			map[string]writer{"csv": sheet.TracksCSV, "json": sheet.SortedJSON}))
	return cmd
}

// writer writes tracks in one form and order.
type writer func(w io.Writer, tracks []library.Track, key words.SortKey) error

func (a *app) exportOne(name, short string, forms map[string]writer) *cobra.Command {
	var file, format, order string
	cmd := &cobra.Command{
		Use:   name,
		Short: short,
		Long:  short + ".\nThe CSV is RFC 4180 in UTF-8; the JSON has one object a line.\n\n" + caution,
		Example: fmt.Sprintf("  dubgauge export %[1]s -o %[1]s.csv\n  dubgauge export %[1]s --format json\n"+
			"  dubgauge export %[1]s --sort verdict\n  dubgauge export %[1]s --ceiling -1 -o %[1]s.csv", name),
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	cmd.Flags().StringVarP(&file, "output", "o", "", "write to `FILE` instead of standard output")
	cmd.Flags().StringVar(&format, "format", "", "`FORMAT`: csv or json (default: by the ending of FILE, else csv)")
	cmd.Flags().StringVar(&order, "sort", string(words.ByMismatch), words.SortHelp)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		key, err := words.ParseSortKey(order)
		if err != nil {
			return usageError{err}
		}
		if format == "" {
			format = "csv"
			if e := filepath.Ext(file); e == ".json" || e == ".jsonl" {
				format = "json"
			}
		}
		write, ok := forms[format]
		if !ok {
			return usageError{fmt.Errorf("--format %q: choose csv or json", format)}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			tracks, err := db.Tracks(ctx, library.TrackOptions{Full: true, Judge: judge()})
			if err != nil {
				return err
			}
			return a.save(file, len(tracks), func(w io.Writer) error { return write(w, tracks, key) })
		})
	}
	return cmd
}

// save writes to standard output, or to a file that appears only when it is
// whole.
func (a *app) save(file string, tracks int, write func(io.Writer) error) error {
	if file == "" || file == "-" {
		return write(a.out)
	}
	f, err := os.CreateTemp(filepath.Dir(file), ".dubgauge-*")
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", file, err)
	}
	defer os.Remove(f.Name())
	err = write(f)
	if e := f.Chmod(0o644); err == nil {
		err = e
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", file, err)
	}
	a.say("%s written to %s.\n%s", words.Counted(tracks, "track"), words.Printable(file), caution)
	return nil
}
