package live

import (
	"os"
	"testing"

	"dubgauge/export/browser"
	"dubgauge/export/page"
	"dubgauge/library"
)

func TestMain(m *testing.M) {
	code := m.Run()
	browser.Stop()
	if packed.dir != "" {
		os.RemoveAll(packed.dir)
	}
	os.Exit(code)
}

func writeReport(t testing.TB, file string, tracks []library.Track) {
	t.Helper()
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := page.Report(f, tracks, page.Options{}); err != nil {
		t.Fatal(err)
	}
}
