package page

import (
	"html/template"
	"io"
)

// Window is what a page of a server shows beside the tracks: the scan that runs or ran last, and
// what was noticed of sticks. Its JSON is what the page's script is told as things change.
type Window struct {
	State    string   `json:"state"`    // see the states below
	Said     string   `json:"said"`     // one sentence on the scan; empty where none ran
	Figures  string   `json:"figures"`  // how far it is, how fast, how long still; while it runs
	Track    string   `json:"track"`    // the one at hand, while it runs
	Done     int      `json:"done"`     // of Total tracks
	Total    int      `json:"total"`    // 0 while it is not known
	Go       string   `json:"go"`       // what the button that scans says; empty for no button
	Problems []string `json:"problems"` // what the scan could not do
	Notes    []Note   `json:"notes"`    // sticks that came or went
}

// The states of a Window.
const (
	ScanNone    = "none" // no scan was begun here
	ScanRuns    = "runs"
	ScanStopped = "stopped" // by the user
	ScanGone    = "gone"    // its disk no longer answers
	ScanFailed  = "failed"
	ScanDone    = "done"
)

// Note is something that was noticed, with a scan to offer where Go says so. One without Dir
// passes by itself.
type Note struct {
	Said string `json:"said"`
	Dir  string `json:"dir"`
	Go   string `json:"go"` // what the button says; empty for no button
}

// Runs tells that a scan runs.
func (w *Window) Runs() bool { return w.State == ScanRuns }

// Start is the page that one begins at: libraries that were scanned, folders that may be.
type Start struct {
	Window    *Window
	Libraries []Place
	Folders   []Place
	Typed     string // what was typed in
	Wrong     string // what is wrong with it; empty for nothing
	HasTracks bool   // there is a list to go to
}

// Place is a folder with what is known of it.
type Place struct {
	Name, Dir string
	Said      string // one sentence
	Go        string // what the button that scans it says; empty for no button
}

// WriteStart writes the page that one begins at.
func WriteStart(w io.Writer, s Start) error {
	return templates.ExecuteTemplate(w, "start", startPage{Start: s, Style: styleLink, Script: scriptLinks, Title: "Start", Live: true})
}

// startPage has what the head of a page asks for.
type startPage struct {
	Start
	Title, Policy, State string
	One                  *row
	Live                 bool
	Style, Script        template.HTML
}

// Ended writes the page that says that the program has ended.
func Ended(w io.Writer) error {
	return templates.ExecuteTemplate(w, "ended", startPage{Style: styleLink, Title: "Ended", Live: true})
}
