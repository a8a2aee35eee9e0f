package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dubgauge/cmd/dubgauge/demo"
	"dubgauge/export/browser"
)

// serving runs "dubgauge serve" until the test ends, and gives the address that it prints.
func serving(t *testing.T, args ...string) (address string, ended <-chan int, talk *bytes.Buffer) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	read, write := io.Pipe()
	talk = &bytes.Buffer{}
	done := make(chan int, 1)
	go func() {
		status := run(ctx, append([]string{"serve"}, args...), nil, write, talk)
		write.Close()
		done <- status
	}()
	t.Cleanup(func() { cancel(); read.Close() })
	lines := bufio.NewScanner(read)
	if !lines.Scan() {
		t.Fatalf("it prints no address and ends with %d: %s", <-done, talk)
	}
	return lines.Text(), done, talk
}

// everySecond is a stick with every second track of the demo library's.
func everySecond(t *testing.T, stick string) (few string, n int) {
	t.Helper()
	few = t.TempDir()
	for i, track := range demo.Tracks() {
		if i%2 > 0 {
			continue
		}
		to := filepath.Join(few, track.Path)
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.Link(filepath.Join(stick, track.Path), to); err != nil {
			t.Fatal(err)
		}
		n++
	}
	return few, n
}

// serveScans: one command scans half of the demo library in the page, track by track; at the end the
// page says what the list in the terminal says.
func serveScans(t *testing.T, whole string) {
	stick, tracks := everySecond(t, whole)
	ctx := browser.Tab(t)
	t.Cleanup(browser.Stop)
	db := filepath.Join(t.TempDir(), "demo.db")
	address, _, _ := serving(t, "--db", db, stick)
	browser.Do(t, ctx, browser.Navigate(address))
	browser.Until(t, ctx, `location.search === '' && document.querySelector('#scan-run')`)
	browser.Eval[bool](t, ctx, `window.same = true`)
	const rows, said = `document.querySelectorAll('#list > .row').length`, `document.querySelector('#scan-said').textContent`
	seen := map[int]bool{}
	for end := time.Now().Add(100 * time.Second); ; time.Sleep(100 * time.Millisecond) {
		n := browser.Eval[int](t, ctx, rows)
		seen[n] = true
		if n == tracks && strings.Contains(browser.Eval[string](t, ctx, said), " scanned in ") {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("%d rows, and it says %q", n, browser.Eval[string](t, ctx, said))
		}
	}
	if len(seen) < 3 || !browser.Eval[bool](t, ctx, `window.same === true`) {
		t.Errorf("rows were seen to be %v", seen)
	}
	if got := browser.Eval[string](t, ctx, said); !strings.HasSuffix(got, fmt.Sprintf(": %d measured.", tracks)) {
		t.Errorf("it says %q", got)
	}
	for path, track := range listed(t, db) {
		verdict := browser.Eval[string](t, ctx, fmt.Sprintf(`[...document.querySelectorAll('#list > .row')].find(r => r.querySelector('cite').textContent === %q)?.querySelector('.v b').textContent`, path))
		if !strings.EqualFold(verdict, string(track.Verdict)) {
			t.Errorf("%s: %q on the page, %q in the list", path, verdict, track.Verdict)
		}
	}
}

// TestServeEnds: a folder that is not there is said at once; the page's button ends the command in
// good order.
func TestServeEnds(t *testing.T) {
	dir := t.TempDir()
	db := filepath.Join(dir, "a.db")
	var out, talk bytes.Buffer
	if status := run(context.Background(), []string{"serve", "--db", db, filepath.Join(dir, "none")}, nil, &out, &talk); status != exitError || !strings.Contains(talk.String(), "there is no folder") || out.Len() > 0 {
		t.Errorf("status %d: %s%s", status, &out, &talk)
	}
	address, ended, said := serving(t, "--db", db)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar}
	get := func(answer *http.Response, err error) string {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		b, _ := io.ReadAll(answer.Body)
		return answer.Request.URL.Path + " " + string(b)
	}
	base, _, _ := strings.Cut(address, "/?")
	get(client.Get(address))
	if page := get(client.Get(base)); !strings.HasPrefix(page, "/start ") || !strings.Contains(page, "Which folder?") {
		t.Errorf("with an empty database it begins at %.200s", page)
	}
	if page := get(client.Post(base+"/quit", "application/x-www-form-urlencoded", nil)); !strings.Contains(page, "dubgauge has ended") {
		t.Errorf("the button leads to %.200s", page)
	}
	client.CloseIdleConnections()
	select {
	case status := <-ended:
		if status != exitOK {
			t.Errorf("it ended with %d: %s", status, said)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it does not end")
	}
}
