package page

import (
	"os"
	"testing"

	"dubgauge/export/browser"
)

func TestMain(m *testing.M) {
	code := m.Run()
	browser.Stop()
	os.Exit(code)
}
