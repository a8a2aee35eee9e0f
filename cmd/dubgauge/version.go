package main

import (
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"dubgauge/library"
)

// version of the program; a release sets it with -ldflags "-X main.version=...".
var version = "development"

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version of the program and of its measurements",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			revision := ""
			if info, ok := debug.ReadBuildInfo(); ok {
				for _, s := range info.Settings {
					if s.Key == "vcs.revision" {
						revision = ", revision " + s.Value
					}
				}
			}
			a.print("dubgauge %s%s, measurements version %d, %s %s/%s",
				version, revision, library.MeasureVersion, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return nil
		},
	}
}
