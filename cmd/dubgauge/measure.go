package main

import (
	"encoding/json"
	"runtime"

	"github.com/spf13/cobra"

	"dubgauge/library"
)

func (a *app) measureCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "measure FILE...",
		Short: "Print the measurements of files as JSON Lines",
		Long: `Prints one JSON object a line for each FILE, in the order given, and stores
nothing. A file that cannot be measured gives a record with "error" set, and the
exit status is 1 after all files are done.`,
		Example: `  dubgauge measure "night bus v7.wav"
  dubgauge measure *.flac > records.jsonl`,
		Args: needs(1, -1, "measure needs files: dubgauge measure FILE..."),
		RunE: a.measure,
	}
}

// measure works on as many files at once as there are cores, and prints in the
// order given.
func (a *app) measure(cmd *cobra.Command, files []string) error {
	ctx := cmd.Context()
	type answer struct {
		library.Record
		err error
	}
	measuringMemory()
	answers := make([]chan answer, len(files))
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range files {
		answers[i] = make(chan answer, 1)
	}
	go func() {
		for i, f := range files {
			slots <- struct{}{}
			go func() {
				r, err := library.Measure(ctx, f)
				answers[i] <- answer{r, err}
				<-slots
			}()
		}
	}()
	e := json.NewEncoder(a.out)
	e.SetEscapeHTML(false)
	failed := false
	for _, ch := range answers {
		got := <-ch
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if got.err != nil {
			return got.err
		}
		failed = failed || got.Error != nil
		if err := e.Encode(got.Record); err != nil {
			return err
		}
	}
	if failed {
		return errUnmeasured
	}
	return nil
}
