package main

import (
	"context"
	"log"
	"net"
	"os/exec"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"dubgauge/export/live"
	"dubgauge/export/words"
	"dubgauge/library"
)

// serveFlags are the options of serve.
type serveFlags struct {
	port  int
	open  bool
	title string
}

func (a *app) serveCommand() *cobra.Command {
	var f serveFlags
	cmd := &cobra.Command{
		Use:   "serve [DIR...]",
		Short: "The page, live: scanning, listening and marking",
		Long: `Shows the same page as "report", live, on this machine only: scan DIR and watch the
list fill, play the loudest part of a track beside a reference at equal loudness, and
mark tracks. Without DIR it shows what was scanned before, and lets you choose a folder
there. Ends with Ctrl-C, or by a button of the page.

` + caution,
		Example: `  dubgauge serve /media/STICK --open
  dubgauge serve --open
  dubgauge serve --port 8080`,
	}
	judge := judgeFlags(cmd)
	cmd.Flags().IntVar(&f.port, "port", 0, "`PORT` to listen on (default: a free one)")
	cmd.Flags().BoolVar(&f.open, "open", false, "open the page in the browser")
	cmd.Flags().StringVar(&f.title, "title", "", "`TEXT` at the head of the page")
	cmd.RunE = func(cmd *cobra.Command, dirs []string) error {
		db, err := a.open(cmd.Context())
		if err != nil {
			return err
		}
		defer db.Close()
		return a.serve(cmd.Context(), f, dirs, live.New(db, live.Options{Title: f.title, Judge: judge(), Log: log.New(a.err, "", 0),
			Scanner: live.ScannerOf(db), Music: library.MusicFolder()}))
	}
	return cmd
}

// serve begins to scan dirs and serves until ctx ends, or the page ends it.
func (a *app) serve(ctx context.Context, f serveFlags, dirs []string, s *live.Server) error {
	for i := range dirs {
		var err error
		if dirs[i], err = filepath.Abs(dirs[i]); err != nil {
			return err
		}
	}
	l, err := live.Listen(ctx, f.port)
	if err != nil {
		return err
	}
	if len(dirs) > 0 {
		if err := s.Scan(dirs); err != nil {
			l.Close()
			return err
		}
	}
	a.tellAddress(f, s, l)
	return s.Serve(ctx, l)
}

// tellAddress prints where the page is, and opens it.
func (a *app) tellAddress(f serveFlags, s *live.Server, l net.Listener) {
	a.print("%s", s.Address(l.Addr().String()))
	a.say("The page is open for you on this machine until you press Ctrl-C; its address holds a key, so keep it to yourself.\n%s", caution)
	if !f.open {
		return
	}
	if err := openBrowser(s.AddressOnce(l.Addr().String())); err != nil {
		a.say("No browser could be started (%s): open the address by hand.", words.Printable(err.Error()))
	}
}

// openBrowser hands an address of ours to the system's own opener.
func openBrowser(url string) error {
	var c *exec.Cmd
	switch runtime.GOOS {
	case "windows":
		c = exec.Command("rundll32", "url.dll,FileProtocolHandler", url)
	case "darwin":
		c = exec.Command("open", url)
	default:
		c = exec.Command("xdg-open", url)
	}
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }()
	return nil
}
