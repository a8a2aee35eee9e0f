package live

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"dubgauge/decode/need"
	"dubgauge/export/browser"
	"dubgauge/export/madeup"
)

// axe fetches axe-core from the npm registry; it is for this test only and never
// part of the program. It is fetched once.
func axe(t *testing.T) string {
	t.Helper()
	if axeScript == "" {
		axeScript = fetchAxe(t)
	}
	return axeScript
}

var axeScript string

func fetchAxe(t *testing.T) string {
	t.Helper()
	npm := need.Program(t, "npm")
	dir := t.TempDir()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	c := exec.CommandContext(ctx, npm, "install", "--no-save", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", dir, "axe-core@4")
	if out, err := c.CombinedOutput(); err != nil {
		t.Logf("npm: %v: %s", err, out)
		need.Absent(t, "axe-core cannot be fetched by npm")
	}
	b, err := os.ReadFile(filepath.Join(dir, "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// violation is what axe-core reports.
type violation struct {
	ID, Impact, Help string
	Nodes            []struct{ HTML, FailureSummary string }
}

const axeRun = `axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}).then(r => JSON.stringify(r.violations))`

// axeColours is what can differ in the dark: the style sheet has nothing for it but colours.
const axeColours = `axe.run({runOnly: {type: 'rule', values: ['color-contrast', 'link-in-text-block']}}).then(r => JSON.stringify(r.violations))`

func TestAccessibility(t *testing.T) {
	script := axe(t)
	db, _ := bagged(t)
	base := served(t, db, Options{})
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(30))
	id := named(t, db, "Dubs/night bus edit.wav").ID
	ctx := browser.Tab(t)
	visit(t, ctx, base)
	for _, page := range []string{fmt.Sprintf("%s/#t%d", base, id), fmt.Sprintf("%s/track/%d", base, id), "file://" + file + "#t4", base + orderPath + "?list=" + friday(t, db, "friday.m3u")} {
		for _, width := range []int64{360, 1440} {
			browser.Screen(t, ctx, width, 900, "light")
			browser.Do(t, ctx, browser.Navigate("about:blank"), browser.Navigate(page))
			browser.Until(t, ctx, `document.querySelector('.detail .chart, .stave')`)
			browser.Eval[bool](t, ctx, script+";true")
			for scheme, run := range map[string]string{"light": axeRun, "dark": axeColours} {
				browser.Screen(t, ctx, width, 900, scheme)
				var found []violation
				if err := json.Unmarshal([]byte(browser.Eval[string](t, ctx, run)), &found); err != nil {
					t.Fatal(err)
				}
				for _, v := range found {
					t.Errorf("%s, %s, %d px: %s (%s): %d places, such as %+v", page, scheme, width, v.Help, v.Impact, len(v.Nodes), v.Nodes[0])
				}
				if over := browser.Eval[int](t, ctx, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("%s at %d px is %d px too wide", page, width, over)
				}
			}
		}
	}
}

// The dock, with its settings open, is as the rest is.
func TestAccessibilityOfTheDock(t *testing.T) {
	script := axe(t)
	db, dull := dulled(t)
	x := named(t, db, dull.path)
	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	starter(t, ctx, x.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, state+` === 'playing'`)
	clickOn(t, ctx, "#dock .more")
	browser.Eval[bool](t, ctx, script+";true")
	for scheme, run := range map[string]string{"light": axeRun, "dark": axeColours} {
		for _, width := range []int64{360, 1440} {
			browser.Screen(t, ctx, width, 900, scheme)
			var found []violation
			if err := json.Unmarshal([]byte(browser.Eval[string](t, ctx, run)), &found); err != nil {
				t.Fatal(err)
			}
			for _, v := range found {
				t.Errorf("%s, %d px: %s (%s): %d places, such as %+v", scheme, width, v.Help, v.Impact, len(v.Nodes), v.Nodes[0])
			}
			if over := browser.Eval[int](t, ctx, `Math.max(document.documentElement.scrollWidth - innerWidth, document.querySelector('#dock').scrollWidth - document.querySelector('#dock').clientWidth)`); over > 0 {
				t.Errorf("%s, %d px: %d px too wide", scheme, width, over)
			}
		}
	}
	// Nothing of the page lies under the dock for good: its end can be brought above it.
	if !browser.Eval[bool](t, ctx, `(() => {
		scrollTo(0, document.documentElement.scrollHeight);
		return document.querySelector('.foot').getBoundingClientRect().bottom <= document.querySelector('#dock').getBoundingClientRect().top + 1;
	})()`) {
		t.Error("the end of the page lies under the dock")
	}
}
