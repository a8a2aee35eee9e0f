package main

import (
	"context"
	"log"
	"os/exec"
	"runtime"

	"github.com/spf13/cobra"

	"dubgauge/export/live"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (a *app) serveCommand() *cobra.Command {
	var (
		port  int
		open  bool
		title string
	)
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Show the page live, with listening and marking",
		Long: `Shows the same page as "report", live, on this machine only: play the loudest part
of a track beside a reference at equal loudness, and mark tracks. Ends with Ctrl-C.

` + caution,
		Example: `  dubgauge serve --open
  dubgauge serve --port 8080`,
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	cmd.Flags().IntVar(&port, "port", 0, "`PORT` to listen on (default: a free one)")
	cmd.Flags().BoolVar(&open, "open", false, "open the page in the browser")
	cmd.Flags().StringVar(&title, "title", "", "`TEXT` at the head of the page")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			l, err := live.Listen(ctx, port)
			if err != nil {
				return err
			}
			s := live.New(db, live.Options{Title: title, Judge: judge(), Log: log.New(a.err, "", 0)})
			url := s.Address(l.Addr().String())
			a.print("%s", url)
			a.say("The page is open for you on this machine until you press Ctrl-C; its address holds a key, so keep it to yourself.\n%s", caution)
			if open {
				if err := openBrowser(s.AddressOnce(l.Addr().String())); err != nil {
					a.say("No browser could be started (%s): open the address by hand.", words.Printable(err.Error()))
				}
			}
			return s.Serve(ctx, l)
		})
	}
	return cmd
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
