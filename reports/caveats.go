package reports

import (
	"fmt"
	"regexp"
	"strings"

	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// caveats collects what to mind, so that what is true of many tests is said
// once.
type caveats struct {
	texts []string
	names map[string][]string
}

func (c *caveats) add(name, text string) {
	if c.names == nil {
		c.names = map[string][]string{}
	}
	if c.names[text] == nil {
		c.texts = append(c.texts, text)
	}
	c.names[text] = append(c.names[text], name)
}

// lines returns each text once, behind the tests it is about; of more than
// three the first two are named.
func (c *caveats) lines() []string {
	var out []string
	for _, text := range c.texts {
		names := c.names[text]
		who := strings.Join(names, "; ")
		if len(names) > 3 {
			who = fmt.Sprintf("%s and %d more tests", strings.Join(names[:2], "; "), len(names)-2)
		}
		out = append(out, who+": "+text)
	}
	return out
}

var negative = regexp.MustCompile(`(^|[\s(])-(\d)`)

// typographic writes the minus signs of sentences as the tables do.
func typographic(sentences []string) []string {
	out := make([]string, len(sentences))
	for i, s := range sentences {
		out[i] = negative.ReplaceAllString(s, "${1}"+number.Minus+"${2}")
	}
	return out
}

// count is a cell of a whole number.
func count(n int) table.Cell { return table.Num(float64(n), fmt.Sprint(n)) }
