package picture

import (
	"fmt"
	"hash/fnv"
	"math"
	"strings"

	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// stem makes a file name of words: lower-case ASCII letters, digits and
// hyphens. Words that leave nothing over are named by a hash of themselves.
func stem(words ...string) string {
	var parts []string
	for _, w := range words {
		if w == "" {
			continue
		}
		s := strings.Join(strings.FieldsFunc(strings.ToLower(w), func(r rune) bool {
			return (r < 'a' || r > 'z') && (r < '0' || r > '9')
		}), "-")
		if len(s) > 40 {
			s = strings.TrimRight(s[:40], "-")
		}
		if s == "" {
			h := fnv.New32a()
			h.Write([]byte(w))
			s = fmt.Sprintf("%08x", h.Sum32())
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "-")
}

// better says which way a measure improves, with what is to stand before it;
// it is empty when that is not known.
func better(before string, d score.Direction) string {
	switch d {
	case score.Higher:
		return before + "higher is better"
	case score.Lower:
		return before + "lower is better"
	}
	return ""
}

// listed writes names as a list in a sentence, at most limit of them.
func listed(names []string, limit int) string {
	if len(names) > limit {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:limit], ", "), len(names)-limit)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// averaged writes the sessions that make one occasion: "2", "1+2".
func averaged(names []string) string {
	if len(names) == 0 {
		return "baseline"
	}
	var clear []string
	for _, n := range names[:min(len(names), 4)] {
		clear = append(clear, session(n))
	}
	if more := len(names) - len(clear); more > 0 {
		clear = append(clear, fmt.Sprintf("%d more", more))
	}
	return strings.Join(clear, "+")
}

// sessions is averaged after the word: "session 2", "sessions 1+2". Names that
// hold the word do without.
func sessions(names ...string) string {
	words := averaged(names)
	switch {
	case len(names) == 0 || strings.Contains(strings.ToLower(words), "session"):
		return words
	case len(names) == 1:
		return "session " + words
	}
	return "sessions " + words
}

// twoSessions writes "sessions 1 and 2".
func twoSessions(from, to string) string {
	words := session(from) + " and " + session(to)
	if strings.Contains(strings.ToLower(words), "session") {
		return words
	}
	return "sessions " + words
}

// named writes an athlete's code, cleaned; an empty one is said to be empty.
func named(athlete string) string {
	if s := clean(athlete); s != "" {
		return s
	}
	return "(no code)"
}

// session writes the name of a session, cleaned; an empty one is said to be.
func session(name string) string {
	if s := clean(name); s != "" {
		return s
	}
	return "(no name)"
}

// counted writes "no change is", "1 change is", "3 changes are".
func counted(n int, one, many string) string {
	if n == 0 {
		return "no " + one
	}
	return number.Count(n, one, many)
}

// are is the verb that goes with a number of things.
func are(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// yes writes a truth for a table.
func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// headed is the label at the head of a sentence, with a large first letter; a
// measure without a label of its own keeps its name as it is.
func headed(label, measure string) string {
	if label == clean(measure) {
		return label
	}
	return capital(label)
}

// capital makes the first letter large, if it is an ASCII letter.
func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// value writes a number with its unit, or the dash of a missing number.
func value(v float64, decimals int, unit string) string {
	return number.WithUnit(number.Plain(v, decimals), unit)
}

// about returns how many decimals show a number of this size with three
// significant digits, when nothing is known about its error.
func about(v float64) int {
	if v = math.Abs(v); v == 0 || !finite(v) {
		return 1
	}
	return max(0, 2-int(math.Floor(math.Log10(v))))
}

// level is the level meant: 0 means 0.95.
func level(l float64) float64 {
	if l == 0 {
		return 0.95
	}
	return l
}
