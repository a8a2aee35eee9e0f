package live

import (
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// What may be scanned is a folder with its whole path that can be listed; everything else is
// refused by the field, at once, with what to do.
func TestFoldersThatAreRefused(t *testing.T) {
	s, d := scanning(t)
	dir := t.TempDir()
	file, pipePath, locked := filepath.Join(dir, "a.wav"), filepath.Join(dir, "pipe"), filepath.Join(dir, "locked")
	if err := os.WriteFile(file, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(locked, 0); err != nil {
		t.Fatal(err)
	}
	known := filepath.Join(dir, "known")
	if err := os.Mkdir(known, 0o755); err != nil {
		t.Fatal(err)
	}
	d.Scanner = withRoots{d.Scanner, []string{known}}
	cases := map[string]string{
		"":                          "Type the folder",
		"   ":                       "Type the folder",
		`""`:                        "Type the folder",
		"relative/folder":           "Give the whole path",
		"a\x00b":                    "cannot hold that sign",
		filepath.Join(dir, "none"):  "There is no folder",
		file:                        "is a file: give the folder that it lies in",
		known:                       "is empty, and there were tracks in it: plug the stick in again",
		dir + "/<script>x</script>": "There is no folder",
	}
	if runtime.GOOS != "windows" {
		if err := pipe(pipePath); err == nil {
			cases[pipePath] = "is no folder"
		}
		for path, want := range map[string]string{"/": "is the system's own", "/dev": "is the system's own", "/proc/self": "is the system's own",
			"/dev/zero": "is the system's own", "/sys/../sys/block": "is the system's own", dir + "/../../../../../../../..": "is the system's own"} {
			cases[path] = want
		}
		if os.Geteuid() != 0 {
			cases[locked] = "may not be read"
		}
	}
	for typed, want := range cases {
		begun := time.Now()
		w := ask(s, "POST", "/scan", url.Values{"folder": {typed}}.Encode(), header("Accept", "text/html"))
		body := w.Body.String()
		_, field, _ := strings.Cut(body, `aria-describedby="folder-wrong"`)
		if w.Code != 400 || !strings.Contains(html.UnescapeString(field), want) || strings.Contains(body, "<script>x") || !strings.Contains(body, `aria-invalid="true"`) {
			t.Errorf("%q: %d, want 400 with %q in\n%.1500s", typed, w.Code, want, field)
		}
		for _, name := range []string{"folder", "dir"} {
			if status, said := sendForm(s, "/scan", url.Values{name: {typed}}); status != 400 || strings.Contains(said, "<p") {
				t.Errorf("%s %q for a script: %d %q", name, typed, status, said)
			}
		}
		if took := time.Since(begun); took > 5*time.Second {
			t.Errorf("%q is refused after %v", typed, took)
		}
	}
	if d.last() != "" || s.scans.now() != nil {
		t.Errorf("something was scanned: %q", d.last())
	}
}

// A folder is taken as a file manager copies it, and without links.
func TestFoldersThatAreTaken(t *testing.T) {
	s, d := scanning(t)
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	music := filepath.Join(home, "My Music")
	if err := os.Mkdir(music, 0o755); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(home, "link")
	if err := os.Symlink(music, link); err != nil {
		link = music
	}
	for _, typed := range []string{music, "  " + music + "\n", `"` + music + `"`, "'" + music + "'", "~/My Music", music + "/", music + "/../My Music/.", link} {
		w := ask(s, "POST", "/scan", url.Values{"folder": {typed}}.Encode(), header("Accept", "text/html"))
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" {
			t.Errorf("%q: %d %s", typed, w.Code, w.Body)
			continue
		}
		<-d.begun
		if d.last() != music {
			t.Errorf("%q scans %q", typed, d.last())
		}
		d.end <- nil
		settle(t, s)
	}
}

// Nobody else's page, and nobody without the key, begins or stops a scan, listens, or ends the
// program; a form's address does nothing by itself.
func TestScanAttacks(t *testing.T) {
	s, d := scanning(t)
	dir := url.Values{"dir": {t.TempDir()}}.Encode()
	forms := []string{"/scan", "/scan/stop", "/scan/later", "/quit"}
	for _, target := range forms {
		for name, change := range map[string]func(*http.Request){
			"another site":    header("Sec-Fetch-Site", "cross-site"),
			"another port":    header("Sec-Fetch-Site", "same-site"),
			"another origin":  header("Origin", "http://evil.example"),
			"no origin":       header("Origin", "null"),
			"another host":    func(r *http.Request) { r.Host = "rebound.example" },
			"no key":          func(r *http.Request) { r.Header.Del("Cookie") },
			"a form by a GET": func(r *http.Request) { r.Method = "GET" },
		} {
			w := ask(s, "POST", target, dir, change)
			if w.Code != 403 && w.Code != 421 && w.Code != 405 {
				t.Errorf("%s, %s: %d", target, name, w.Code)
			}
		}
	}
	for _, target := range []string{"/events", "/start"} {
		for name, change := range map[string]func(*http.Request){
			"another site": header("Sec-Fetch-Site", "cross-site"), "another origin": header("Origin", "http://evil.example"),
			"another host": func(r *http.Request) { r.Host = "rebound.example" }, "no key": func(r *http.Request) { r.Header.Del("Cookie") },
		} {
			if w := ask(s, "GET", target, "", change); w.Code != 403 && w.Code != 421 {
				t.Errorf("%s, %s: %d", target, name, w.Code)
			}
		}
	}
	select {
	case <-s.quitting:
		t.Error("somebody else ended the program")
	default:
	}
	if d.last() != "" {
		t.Errorf("somebody else scanned %q", d.last())
	}
	if w := ask(s, "POST", "/scan", "dir="+strings.Repeat("a", 1<<20), nil); w.Code != 413 {
		t.Errorf("a huge form: %d", w.Code)
	}
}
