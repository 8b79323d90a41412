package reports

import (
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// A Sheet is the answer on one page: at most three sentences, one picture, one
// table of at most five columns, at most five lines to watch out for. What
// stands behind it is on the working page.
type Sheet struct {
	Title   string
	Answer  []string         // one to three sentences, the first answers the question
	Picture *picture.Picture // nil when there is nothing to draw
	Table   table.Table      // at most five columns for people
	Watch   []string         // at most five lines
	Source  string           // one line: table, sessions, noise, version
}
