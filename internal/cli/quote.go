package cli

import "strings"

// quoted writes a word so that a shell reads it as one.
func quoted(s string) string {
	if s != "" && strings.IndexFunc(s, needsQuotes) < 0 {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

func needsQuotes(r rune) bool {
	return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' ||
		strings.ContainsRune("-_./=,:+%@", r))
}
