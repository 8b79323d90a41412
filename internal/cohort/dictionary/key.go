package dictionary

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

var plainName = regexp.MustCompile(`^[\pL\pN_$:-]+$`)

// join returns the key path of a member: resources[0].nf:roles.athlete. A
// name with other signs, or a long one, is quoted: nf:measures["throw.left"].
func join(key, name string) string {
	switch {
	case len(name) > 60, !plainName.MatchString(name):
		return key + "[" + strconv.Quote(clip(name)) + "]"
	case key == "":
		return name
	}
	return key + "." + name
}

// index returns the key path of an element, counted from 0 as in the standard.
func index(key string, i int) string {
	return key + "[" + strconv.Itoa(i) + "]"
}

// within reports whether key is parent or lies below it.
func within(key, parent string) bool {
	rest, ok := strings.CutPrefix(key, parent)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// clip shortens a text that is quoted in a message.
func clip(s string) string {
	const most = 60
	n := 0
	for at := range s {
		if n == most {
			return s[:at] + "…"
		}
		n++
	}
	return s
}

// article names a kind of JSON value in plain words.
func article(kind string) string {
	switch kind {
	case "object":
		return "an object, { ... }"
	case "array":
		return "a list, [ ... ]"
	case "string":
		return "a text"
	case "number":
		return "a number"
	case "integer":
		return "a whole number"
	case "boolean":
		return "true or false"
	}
	return kind
}

// quoteAll returns the names quoted and separated by commas, at most 20.
func quoteAll(names []string) string {
	const most = 20
	var b strings.Builder
	for i, name := range names {
		if i == most {
			fmt.Fprintf(&b, " and %d more", len(names)-most)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(strconv.Quote(clip(name)))
	}
	return b.String()
}

// nearest returns the known word that is most like word, if it is like enough:
// at most one part in so many of its letters, and at least one, away. Among
// very many known words, which only a broken file has, it does not look.
func nearest(word string, known []string, parts int) (string, bool) {
	letters := utf8.RuneCountInString(word)
	if letters > 100 || len(known) > 1000 {
		return "", false
	}
	best, least := "", letters
	for _, k := range known {
		if utf8.RuneCountInString(k) > 100 {
			continue
		}
		if n := distance(strings.ToLower(word), strings.ToLower(k)); n < least {
			best, least = k, n
		}
	}
	return best, best != "" && least <= max(1, utf8.RuneCountInString(best)/parts)
}

// distance is the number of letters to insert, delete or replace, or of
// neighbours to swap, that makes a into b (optimal string alignment).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(x)][len(y)]
}

// didYouMean returns `; did you mean "…"?`, or "" when nothing is near.
func didYouMean(word string, known []string) string {
	if k, ok := nearest(word, known, 2); ok {
		return fmt.Sprintf("; did you mean %q?", k)
	}
	return ""
}
