// Command man writes the man pages of noisefloor into a folder:
//
//	go run ./internal/cli/man DIR
package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra/doc"

	"noisefloor/internal/cli"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "man: want one folder: go run ./internal/cli/man DIR")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "man:", err)
		os.Exit(1)
	}
}

// write makes a page for the program and one for each command. The date is that
// of SOURCE_DATE_EPOCH when it is set, so that the same bytes come out.
func write(folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	root := cli.Root()
	root.DisableAutoGenTag = true
	return doc.GenManTree(root, &doc.GenManHeader{Title: "NOISEFLOOR", Section: "1", Source: "noisefloor"}, folder)
}
