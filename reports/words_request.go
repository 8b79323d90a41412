package reports

import (
	"fmt"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/reports/number"
)

// requestWords are the words of the doubts that a request and its table raise.
func requestWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		caveat.BestIsHighest: func(caveat.Caveat, About) string {
			return "the highest attempt was taken as the best: nobody said which way is better (--lower NAME, or " +
				"the dictionary)"
		},
		caveat.LevelsDiffer: func(c caveat.Caveat, _ About) string {
			return "Levels were not used: column " + c.Names[0] + " says more than one level for an athlete. Name " +
				"another column with --by."
		},
		caveat.NotJudged: func(c caveat.Caveat, _ About) string { return "not judged: " + c.Names[0] },
		caveat.NoGroup: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s without %s: not judged, because the noise is that of each athlete's own group (%s).",
				number.Count(len(c.Names)-1, "athlete", "athletes"), c.Names[0], some(c.Names[1:]))
		},
		caveat.FarOff: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s a hundred times above or below the others (the first is %v, of %s in session %s; half "+
				"of all lie below %v): another unit, or a slip of the comma? As long as it stands, the answer is wrong",
				number.Count(int(c.Numbers[0]), "attempt lies", "attempts lie"), c.Numbers[1], c.Names[0], c.Names[1],
				c.Numbers[2])
		},
		caveat.NotCompared: func(c caveat.Caveat, _ About) string {
			if c.Names[0] == "change" {
				return "changes not compared: " + c.Names[1]
			}
			return "no correlation inside athletes: " + c.Names[1]
		},
		caveat.AllSessions: func(c caveat.Caveat, _ About) string {
			return "All sessions were taken (" + strings.Join(c.Names,
				", ") + "). If there was training between them, it counts as noise: " +
				"name sessions without training between them with --sessions."
		},
		caveat.LowerIsBetter: func(caveat.Caveat, About) string { return "less counts as better" },
		caveat.DirectionUnknown: func(caveat.Caveat, About) string {
			return "not known which way is better (--lower NAME, or the dictionary)"
		},
		caveat.OrderInDoubt: func(c caveat.Caveat, _ About) string {
			return "The sessions may not be in the order of time: " + c.Names[0] + ". Taken as " +
				"" + strings.Join(c.Names[1:], ", ") + "."
		},
	}
}
