package cli

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"
)

// patience is how long work may take before a terminal is told of it.
const patience = 2 * time.Second

// progress tells a terminal, once a second after the first two, that the work
// goes on. The function it returns ends and wipes the line.
func progress(w io.Writer, what string) func() {
	if !isTerminal(w) {
		return func() {}
	}
	done := make(chan struct{})
	var ended sync.WaitGroup
	ended.Add(1)
	go func() {
		defer ended.Done()
		tell(w, what, done)
	}()
	return func() {
		close(done)
		ended.Wait()
	}
}

func tell(w io.Writer, what string, done <-chan struct{}) {
	start, wait, told := time.Now(), patience, false
	for {
		select {
		case <-done:
			if told {
				fmt.Fprintf(w, "\r%s\r", strings.Repeat(" ", 60))
			}
			return
		case <-time.After(wait):
			fmt.Fprintf(w, "\r%s: still working, %.0f s ", what, time.Since(start).Seconds())
			wait, told = time.Second, true
		}
	}
}

func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

// width is the number of columns of the terminal behind w, 80 when it is none.
func width(w io.Writer) int {
	if file, ok := w.(*os.File); ok {
		if columns, _, err := term.GetSize(int(file.Fd())); err == nil && columns > 20 {
			return columns
		}
	}
	return 80
}

// bold reports whether w is a terminal that wants bold type.
func bold(w io.Writer) bool {
	return isTerminal(w) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
