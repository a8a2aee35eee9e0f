package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect/coded"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/encode"
	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (a *app) showCommand() *cobra.Command {
	asJSON, closer := false, false
	cmd := &cobra.Command{
		Use:   "show TRACK",
		Short: "Show one track: every figure, its references, and why",
		Long: `Shows one track of the library. TRACK is its number in "dubgauge list" (#12), its
path or the end of it, or words from its title, artist or path.`,
		Example: `  dubgauge show '#12'
  dubgauge show '#12' --closer
  dubgauge show "bootleg v7"`,
		Args:              needs(1, 1, "show needs one track: dubgauge show TRACK, by number, path or words (in quotes)"),
		ValidArgsFunction: a.completeTracks,
	}
	judge := judgeFlags(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the record as JSON")
	cmd.Flags().BoolVar(&closer, "closer", false, "also decode the loudest 30 s: peaks by band, and what encoders at hand make of them")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			found, err := find(ctx, db, args[0])
			if err != nil {
				return err
			}
			t, err := db.TrackAs(ctx, found.ID, judge())
			if err != nil {
				return err
			}
			group, err := db.Spectra(ctx, t.Members)
			if err != nil {
				return err
			}
			var look *coded.Look
			if !asJSON {
				a.show(&t, group)
			}
			if closer {
				l, err := encode.Look(ctx, &t)
				if err != nil {
					return err
				}
				look = &l
			}
			switch {
			case asJSON:
				return sheet.AdvisedJSON(a.out, &t, group, look)
			case closer:
				a.closer(&t, look)
			}
			return nil
		})
	}
	return cmd
}

// show prints everything about a track; group has the spectra of its references.
func (a *app) show(t *library.Track, group []library.Spectrum) {
	a.print("#%d  %s", t.ID, a.term.paint(bold, words.OneLine(t.Path)))
	a.field("in", words.OneLine(t.Root))
	if s := words.OneLine(strings.Trim(t.Tags.Artist+" - "+t.Tags.Title, " -")); s != "" {
		a.field("tags", s+releaseWords(t))
	}
	a.print("")
	switch {
	case t.Missing():
		a.field("verdict", "none: the file is not there since "+words.Day(t.MissingSince)+"; put it back or plug the stick in, and scan again; your marks are kept")
	case t.Marks.Ignore:
		a.field("verdict", "none: you marked this track to be ignored")
	default:
		a.field("verdict", a.term.paint(verdictPaint[t.Verdict], string(t.Verdict)))
	}
	for _, n := range t.Notes {
		a.field("", words.OneLine(n))
	}
	if s := words.Plain.Versions(t); s != "" {
		a.field("versions", s)
	}
	a.field("status", string(t.Status)+": "+words.EvidenceLine(t))
	if t.Error == nil || t.Loudness.Loudest30sLUFS.Exists() {
		if t.TakesPart() {
			a.field("against", heldAgainst(&t.Reference))
		}
		a.print("")
		a.figures(t)
		if t.TakesPart() {
			a.spectrum(t, group)
			a.print("")
			a.advice(t, group)
		}
	}
	if t.Trim.TrimDB.Exists() && t.Trim.TrimDB > 0 {
		a.print("\n%s", caution)
	}
}

// advice prints what to change in the track's own master.
func (a *app) advice(t *library.Track, group []library.Spectrum) {
	if len(t.Spectrum.LoudestDB) == 0 {
		return
	}
	ad := t.Advice(group)
	a.fields("advice", words.Advice(t, &ad))
	a.fields("width", words.Plain.Width(t, &ad))
	a.fields("kick, bass", ad.Bottom.Sentences())
}

// fields prints a label beside the first of some texts.
func (a *app) fields(label string, texts []string) {
	for _, s := range texts {
		a.field(label, s)
		label = ""
	}
}

// labelWidth is that of the words at the left of show.
const labelWidth = 14

// field prints a label and a text that wraps beside it.
func (a *app) field(label, s string) {
	a.print("%-*s%s", labelWidth, label, wrap(s, max(0, a.term.width-labelWidth), strings.Repeat(" ", labelWidth)))
}

func releaseWords(t *library.Track) string {
	var parts []string
	for _, s := range []string{t.Tags.Label, t.Tags.CatalogueNumber, t.Tags.ISRC} {
		if s != "" {
			parts = append(parts, words.OneLine(s))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

// figures prints every figure; those that are compared, beside the group's.
func (a *app) figures(t *library.Track) {
	a.field("file", words.Plain.File(t))
	l := &t.Loudness
	a.compared("loudest 30 s", words.Plain.Loudest(t), t, standout.Level)
	a.field("integrated", fmt.Sprintf("%s, short-term max %s, momentary max %s, range %s",
		words.Plain.Figure(l.IntegratedLUFS, "LUFS"), words.Plain.Figure(l.ShortTermMaxLUFS, "LUFS"), words.Plain.Figure(l.MomentaryMaxLUFS, "LUFS"), words.Plain.Figure(l.RangeLU, "LU")))
	a.compared("true peak", fmt.Sprintf("%s, sample peak %s, peak to loudness %s, %s",
		words.Plain.Change(t.Peak.TruePeakDBTP, "dBTP"), words.Plain.Change(t.Peak.SamplePeakDBFS, "dBFS"), words.Plain.Figure(t.Peak.PLRLU, "LU"),
		words.Counted(t.Peak.ClippedRuns, "clipped run")), t, standout.Peak)
	a.expected(t)
	a.compared("low end", words.Plain.Change(t.LowEnd.LowDB, "dB"), t, standout.LowEnd)
	a.compared("  sub", words.Plain.Change(t.LowEnd.SubDB, "dB"), t, standout.Sub)
	a.compared("  bass", words.Plain.Change(t.LowEnd.BassDB, "dB"), t, standout.Bass)
	a.compared("mono loss", words.Plain.MonoLoss(t.LowEnd.MonoLossDB), t, standout.Mono)
	a.field("bandwidth", words.Plain.Figure(t.Spectrum.BandwidthHz/1000, "kHz"))
	a.field("tempo", words.Plain.Tempo(t))
	a.field("key", words.Plain.Key(t))
	for i, f := range t.Faults {
		label := ""
		if i == 0 {
			label = "faults"
		}
		a.field(label, words.Plain.Fault(f))
	}
	a.field("trim", words.Plain.TrimWords(t))
}

// compared is a field with what the track is held against behind it.
func (a *app) compared(label, s string, t *library.Track, q standout.Quantity) {
	d := words.Deviation(t, q)
	unit := map[bool]string{true: "LU", false: "dB"}[q == standout.Level]
	if d.DB.Exists() && !(q == standout.Mono && reason.NothingLeft(float64(d.Value))) {
		s += fmt.Sprintf("; %s against %s", words.Plain.Change(d.DB, unit), words.Plain.Figure(d.Value-d.DB, ""))
		if d.Spreads.Exists() {
			s += ", " + words.Plain.Number(d.Spreads, 1) + " spreads"
		}
	}
	if st, ok := t.Reference.Stats[q]; ok && st.N > 1 {
		s += fmt.Sprintf("; references from %s to %s", words.Plain.Figure(st.Min, ""), words.Plain.Figure(st.Max, ""))
	}
	a.field(label, s)
}
