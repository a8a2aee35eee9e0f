package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export"
	"dubgauge/library"
)

func (a *app) showCommand() *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:   "show TRACK",
		Short: "Show one track: every figure, its references, and why",
		Long: `Shows one track of the library. TRACK is its number in "dubgauge list" (#12), its
path or the end of it, or words from its title, artist or path.`,
		Example: `  dubgauge show '#12'
  dubgauge show "bootleg v7"`,
		Args:              needs(1, 1, "show needs one track: dubgauge show TRACK, by number, path or words (in quotes)"),
		ValidArgsFunction: a.completeTracks,
	}
	judge := judgeFlags(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the record as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			t, err := find(ctx, db, args[0])
			if err != nil {
				return err
			}
			all, err := db.Tracks(ctx, library.TrackOptions{Full: true, IncludeIgnored: true, IncludeMissing: true, Judge: judge()})
			if err != nil {
				return err
			}
			for i := range all {
				if all[i].ID == t.ID {
					t = all[i]
				}
			}
			if asJSON {
				return export.TracksJSON(a.out, []library.Track{t})
			}
			a.show(&t, all)
			return nil
		})
	}
	return cmd
}

// show prints everything about a track.
func (a *app) show(t *library.Track, all []library.Track) {
	a.print("#%d  %s", t.ID, a.term.paint(bold, oneLine(t.Path)))
	a.field("in", oneLine(t.Root))
	if s := oneLine(strings.Trim(t.Tags.Artist+" - "+t.Tags.Title, " -")); s != "" {
		a.field("tags", s+releaseWords(t))
	}
	a.print("")
	if t.Marks.Ignore {
		a.field("verdict", "none: you marked this track to be ignored")
	} else {
		a.field("verdict", a.term.paint(verdictPaint[t.Verdict], string(t.Verdict)))
	}
	for _, n := range t.Notes {
		a.field("", oneLine(n))
	}
	a.field("status", string(t.Status)+": "+evidenceWords(t))
	if t.Error == nil || t.Loudness.Loudest30sLUFS.Exists() {
		a.field("against", basisWords(t.Reference))
		a.print("")
		a.figures(t)
		a.spectrum(t, all)
	}
	if t.Trim.SafeDB.Exists() && t.Trim.SafeDB > 0 {
		a.print("\n%s", caution)
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
			parts = append(parts, oneLine(s))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

func evidenceWords(t *library.Track) string {
	if len(t.Evidence) == 0 {
		return "nothing in tags or names tells"
	}
	parts := make([]string, len(t.Evidence))
	for i, e := range t.Evidence {
		parts[i] = fmt.Sprintf("%s (%s, speaks for %s)", oneLine(e.What), e.Where, e.For)
	}
	return strings.Join(parts, "; ")
}

// figures prints every figure; those that are compared, beside the group's.
func (a *app) figures(t *library.Track) {
	a.field("file", fileWords(t))
	l := &t.Loudness
	a.compared("loudest 30 s", figure(l.Loudest30sLUFS, "LUFS")+" from "+clock(l.Loudest30sStartS), t, standout.Level)
	a.field("integrated", fmt.Sprintf("%s, short-term max %s, momentary max %s, range %s",
		figure(l.IntegratedLUFS, "LUFS"), figure(l.ShortTermMaxLUFS, "LUFS"), figure(l.MomentaryMaxLUFS, "LUFS"), figure(l.RangeLU, "LU")))
	a.compared("true peak", fmt.Sprintf("%s, sample peak %s, peak to loudness %s, %s",
		signed(t.Peak.TruePeakDBTP, "dBTP"), signed(t.Peak.SamplePeakDBFS, "dBFS"), figure(t.Peak.PLRLU, "LU"),
		counted(t.Peak.ClippedRuns, "clipped run")), t, standout.Peak)
	a.compared("low end", signed(t.LowEnd.LowDB, "dB"), t, standout.LowEnd)
	a.compared("  sub", signed(t.LowEnd.SubDB, "dB"), t, standout.Sub)
	a.compared("  bass", signed(t.LowEnd.BassDB, "dB"), t, standout.Bass)
	a.compared("mono loss", signed(t.LowEnd.MonoLossDB, "dB")+" below 150 Hz", t, standout.Mono)
	a.field("bandwidth", figure(t.Spectrum.BandwidthHz/1000, "kHz"))
	a.field("tempo", tempoWords(t))
	a.field("key", keyWords(t))
	for i, f := range t.Faults {
		label := ""
		if i == 0 {
			label = "faults"
		}
		a.field(label, faultWords(f))
	}
	a.field("trim", fmt.Sprintf("%s wanted, %s safe, %s of limiting for the rest",
		signed(t.Trim.TrimDB, "dB"), signed(t.Trim.SafeDB, "dB"), figure(t.Trim.LimitingDB, "dB")))
}

// compared is a field with what the track is held against behind it.
func (a *app) compared(label, s string, t *library.Track, q standout.Quantity) {
	d := export.Deviation(t, q)
	if d.DB.Exists() {
		s += fmt.Sprintf("; %s against %s", signed(d.DB, "dB"), figure(d.Value-d.DB, ""))
		if d.Spreads.Exists() {
			s += fmt.Sprintf(", %.1f spreads", float64(d.Spreads))
		}
	}
	if st, ok := t.Reference.Stats[q]; ok && st.N > 1 {
		s += fmt.Sprintf("; references from %s to %s", figure(st.Min, ""), figure(st.Max, ""))
	}
	a.field(label, s)
}

// faultWords is a fault in a line, with its place.
func faultWords(f detect.Fault) string {
	s := oneLine(f.Detail)
	if f.AtS.Exists() {
		s += ", at " + clock(f.AtS)
	}
	return s
}

func fileWords(t *library.Track) string {
	f := &t.File
	s := fmt.Sprintf("%s (%s), %d Hz, %s", f.Format, f.Codec, f.SampleRateHz, counted(f.Channels, "channel"))
	if f.BitDepth != nil {
		s += fmt.Sprintf(", %d bit", *f.BitDepth)
	}
	if f.BitrateKbps != nil {
		s += fmt.Sprintf(", %d kbit/s", *f.BitrateKbps)
	}
	return s + ", " + clock(f.DurationS) + " min"
}

func tempoWords(t *library.Track) string {
	m := &t.Measurement.Tempo
	if !m.BPM.Exists() {
		return "none that holds" + tagTempo(t)
	}
	s := fmt.Sprintf("%s (or %s), confidence %.0f %%, first beat at %.3f s",
		bpm(m.BPM), bpm(m.AlternativeBPM), 100*float64(m.Confidence), float64(m.FirstBeatS))
	if m.DriftPercent.Exists() && m.DriftPercent != 0 {
		s += fmt.Sprintf(", drifts by %.1f %%", float64(m.DriftPercent))
	}
	if m.SwingPercent.Exists() {
		s += fmt.Sprintf(", swing %.0f %%", float64(m.SwingPercent))
	}
	return s + tagTempo(t)
}

func bpm(v detect.Value) string {
	if !v.Exists() {
		return "-"
	}
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", float64(v)), "0"), ".") + " BPM"
}

// tagTempo names the tag's tempo when it is another.
func tagTempo(t *library.Track) string {
	const sameTempo = 0.02 // as a ratio: tags are often rounded
	if t.Tags.BPM == nil {
		return ""
	}
	tag, measured := *t.Tags.BPM, float64(t.Measurement.Tempo.BPM)
	if t.Measurement.Tempo.BPM.Exists() && tag > measured*(1-sameTempo) && tag < measured*(1+sameTempo) {
		return ""
	}
	return fmt.Sprintf("; the tag says %g", tag)
}

func keyWords(t *library.Track) string {
	tag := ""
	if t.Tags.Key != "" {
		tag = "; the tag says " + oneLine(t.Tags.Key)
	}
	k := t.Measurement.Key
	if k == nil {
		return "none that is clear" + tag
	}
	return fmt.Sprintf("%s, confidence %.0f %%, next best %s, tuned %+.0f cents%s",
		k.Name, 100*float64(k.Confidence), k.RunnerUp, float64(k.TuningCents), tag)
}
