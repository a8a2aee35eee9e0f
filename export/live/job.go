package live

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

// job is one scan: of folders, or of a single track. scans guards it.
type job struct {
	dirs    []string // absolute
	track   int64    // the one that is measured again; 0 for folders
	name    string   // of the folders or the track
	stop    context.CancelFunc
	running bool
	now     library.Progress
	report  library.Report
	err     error
}

// folderName is what a folder is called: its last part.
func folderName(dir string) string {
	if name := filepath.Base(dir); name != string(filepath.Separator) && name != "." {
		return words.Clean(name)
	}
	return words.Clean(dir)
}

// foldersName names folders in a sentence.
func foldersName(dirs []string) string {
	names := make([]string, len(dirs))
	for i, d := range dirs {
		names[i] = folderName(d)
	}
	return words.AndList(names)
}

// window is what the page shows of a job; away tells that one of its folders is not there.
func (j *job) window(away bool) page.Window {
	w := page.Window{Done: j.now.Done, Total: j.now.Total, State: j.state()}
	if j.now.Phase == library.Looking {
		w.Total = 0 // it grows still
	}
	for _, p := range j.report.Problems {
		w.Problems = append(w.Problems, words.Clean(p.Path+": "+p.Detail))
	}
	if rest := len(w.Problems) - mostProblems; rest > 0 {
		w.Problems = append(w.Problems[:mostProblems], fmt.Sprintf("and %d more", rest))
	}
	w.Said = j.said(w.State)
	w.Go = "Scan again"
	switch {
	case j.running:
		w.Figures, w.Track, w.Go = words.Progress(j.now), words.Clean(j.now.Current), ""
	case j.track != 0: // it is measured again from where it stands
	case w.State == page.ScanGone && away:
		w.Go = ""
	case w.State == page.ScanGone, w.State == page.ScanStopped:
		w.Go = "Go on"
	}
	return w
}

// mostProblems are listed of one scan.
const mostProblems = 50

func (j *job) state() string {
	switch {
	case j.running:
		return page.ScanRuns
	case errors.As(j.err, new(*library.MediumError)):
		return page.ScanGone
	case errors.Is(j.err, context.Canceled):
		return page.ScanStopped
	case j.err != nil:
		return page.ScanFailed
	}
	return page.ScanDone
}

// said is one sentence or two on a job. While it runs it changes at quarters of the way, as it is
// read aloud.
func (j *job) said(state string) string {
	kept := fmt.Sprintf("%d of %s done, which is kept.", j.now.Done, words.Counted(j.now.Total, "track"))
	if j.track != 0 {
		kept = j.name + " was not measured again."
	}
	var gone *library.MediumError
	switch state {
	case page.ScanRuns:
		if j.track != 0 {
			return "Measuring " + j.name + " again."
		}
		return "Scanning " + j.name + j.quarter() + "."
	case page.ScanGone:
		name := j.name
		if errors.As(j.err, &gone) {
			name = folderName(gone.Root)
		}
		return name + " no longer answers: it was pulled out, or its disk fails. " + kept + " Plug it in again to go on."
	case page.ScanStopped:
		return "Stopped. " + kept
	case page.ScanFailed:
		return words.Capital(words.Clean(words.Error(j.err))) + "."
	}
	return j.outcome()
}

// quarter says how far a job is, in quarters.
func (j *job) quarter() string {
	if j.now.Total == 0 || j.now.Phase != library.Measuring {
		return ""
	}
	return [...]string{"", ": a quarter done", ": half done", ": three quarters done", ": nearly done"}[min(4, 4*j.now.Done/j.now.Total)]
}

// outcome says what a job that came to its end has done.
func (j *job) outcome() string {
	r := j.report
	if j.track != 0 {
		return j.name + " was measured again."
	}
	if r.Total == 0 {
		return "No track was found in " + j.name + ": is it the right folder?"
	}
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{{r.Measured, "measured"}, {r.Unchanged, "unchanged"}, {r.Moved, "moved"}, {r.Copied, "copies of known ones"}, {r.Failed, "could not be read or only in part"}, {r.Missing, "no longer there"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	return fmt.Sprintf("%s scanned in %s: %s.", j.name, words.Duration(r.Elapsed), cmp.Or(strings.Join(parts, ", "), "nothing new"))
}
