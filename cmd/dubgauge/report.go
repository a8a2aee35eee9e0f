package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"dubgauge/export/page"
	"dubgauge/library"
)

func (a *app) reportCommand() *cobra.Command {
	var title, list string
	var out outputFlags
	cmd := &cobra.Command{
		Use:   "report -o FILE",
		Short: "Write the library as one page to look at and to print",
		Long: `Writes one self-contained HTML file: the library at a glance, the list, every
track in detail. It opens from disk on a laptop or phone without a network, and
prints as a trim sheet to take into the booth. With --list, a playlist is shown as well, as
a running order: level, low end and tempo along the set, and every step in words.

` + caution,
		Example: `  dubgauge report -o sheet.html
  dubgauge report -o friday.html --title "Friday, ferry terminal"
  dubgauge report -o friday.html --list friday.m3u8`,
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	out.add(cmd, "write to `FILE` (- is standard output)")
	cmd.Flags().StringVar(&title, "title", "", "`TEXT` at the head of the page")
	cmd.Flags().StringVar(&list, "list", "", listHelp)
	_ = cmd.MarkFlagRequired("output")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			leanMemory()
			section, err := a.orderSection(ctx, db, list, judge())
			if err != nil {
				return err
			}
			tracks, err := db.Tracks(ctx, library.TrackOptions{Judge: judge()})
			if err != nil {
				return err
			}
			return a.save(ctx, db, out, len(tracks), func(w io.Writer) error {
				return page.Report(w, tracks, page.Options{Title: title, Judge: judge(), Order: section, Fill: filler(ctx, db),
					Spectra: func(ids []int64) ([]library.Spectrum, error) { return db.Spectra(ctx, ids) }})
			})
		})
	}
	return cmd
}
