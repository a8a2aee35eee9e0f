package page

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"dubgauge/export/madeup"
	"dubgauge/export/words"
	"dubgauge/library"
)

func writeReport(t testing.TB, file string, tracks []library.Track) {
	t.Helper()
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := Report(f, tracks, Options{}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

func reportText(t testing.TB, tracks []library.Track) string {
	t.Helper()
	var b bytes.Buffer
	if err := Report(&b, tracks, Options{Title: "Friday <b>bag</b>"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// address matches whatever makes a browser ask another file.
var address = regexp.MustCompile(`(?i)(src=|href=["']?[^#"']|url\(|@import|https?://|srcset|<iframe|<object|<embed)`)

func TestAReportAsksForNothingElse(t *testing.T) {
	html := reportText(t, madeup.Tracks(20))
	if found := address.FindAllString(html, -1); len(found) > 0 {
		t.Errorf("the report refers to other files: %q", found)
	}
	if strings.Contains(html, "unsafe-inline") || strings.Count(html, "&#39;sha256-") != 2 {
		t.Error("the policy does not allow its own style and script by hash alone")
	}
	if strings.Contains(html, " style=") || regexp.MustCompile(`\son[a-z]+=`).MatchString(html) {
		t.Error("there is an inline style or handler, which the policy refuses")
	}
}

func TestTagsAreEscapedWhereverTheyStand(t *testing.T) {
	const attack = `</noscript></title><script>alert(1)</script>"><img src=x onerror=alert(1)>`
	tracks := madeup.Tracks(8)
	x := &tracks[3]
	x.Tags.Title, x.Tags.Artist, x.Path = attack, "'"+attack, "Dubs/"+attack+".wav"
	x.Measurement.Key.Name, x.Measurement.Key.RunnerUp = attack, attack
	x.Measurement.File.Format = attack
	x.Evidence = append(x.Evidence, library.Evidence{For: library.Unknown, What: attack, Where: attack})
	x.Reasons, x.Notes = []string{attack}, []string{attack, attack}
	html := reportText(t, tracks)
	for _, bad := range []string{"<script>alert", "<img", "</noscript></title>"} {
		if strings.Contains(strings.ToLower(html), bad) {
			t.Errorf("%q reaches the page", bad)
		}
	}
	if !strings.Contains(html, "&lt;script&gt;alert(1)") || !strings.Contains(html, "Friday &lt;b&gt;bag") {
		t.Error("the text itself is lost")
	}
}

func TestAReportOfNothingSaysWhatToDo(t *testing.T) {
	if html := reportText(t, nil); !strings.Contains(html, "dubgauge scan DIR") {
		t.Error("an empty library is not explained")
	}
}

func TestIgnoredTracksAreNotInAReport(t *testing.T) {
	tracks := madeup.Tracks(8)
	tracks[3].Marks.Ignore = true
	rejudgeTaking(tracks)
	html := reportText(t, tracks)
	if strings.Contains(html, words.Name(&tracks[3])) || !strings.Contains(html, words.Name(&tracks[2])) {
		t.Error("the ignored track is in the report, or another is not")
	}
}

// rejudgeTaking judges the tracks that take part, as the database does.
func rejudgeTaking(tracks []library.Track) {
	rest := slices.DeleteFunc(slices.Clone(tracks), func(t library.Track) bool { return t.Marks.Ignore })
	madeup.Rejudge(rest)
	i := 0
	for k := range tracks {
		if !tracks[k].Marks.Ignore {
			tracks[k] = rest[i]
			i++
		}
	}
}

// The scripts of a report become one: no name stands in two of them, and nothing is taken from
// a file.
func TestScriptsBecomeOne(t *testing.T) {
	names := map[string]string{}
	declared := regexp.MustCompile(`(?m)^(?:export )?(?:async )?(?:function|const|let|class) (\w+|\$+)`)
	for _, name := range scripts {
		text, err := web.ReadFile("web/" + name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range declared.FindAllStringSubmatch(string(text), -1) {
			if other := names[m[1]]; other != "" {
				t.Errorf("%s stands in %s and %s", m[1], other, name)
			}
			names[m[1]] = name
		}
	}
	if len(names) < 40 {
		t.Errorf("only %d names were found", len(names))
	}
	html, _, err := inline("script", scripts...)
	if err != nil || regexp.MustCompile(`(?m)^(import|export)\b`).MatchString(string(html)) {
		t.Errorf("the script takes from files, or gives: %v", err)
	}
}
