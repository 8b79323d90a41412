package cohort

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"noisefloor/internal/names"
)

// The roles a column can have.
const (
	roleAthlete  = "athlete"
	roleSession  = "session"
	roleTrial    = "trial"
	roleMeasure  = "measure"
	roleSide     = "side"
	roleValue    = "value"
	roleLevel    = "level"
	roleGroup    = "group"
	roleDominant = "dominant"
)

var allRoles = []string{roleAthlete, roleSession, roleTrial, roleMeasure, roleValue, roleSide, roleLevel, roleGroup,
	roleDominant}

// roleNames are the column names that are recognised, in order of preference,
// without case, blanks and marks.
var roleNames = map[string][]string{
	roleAthlete: {"athlete", "athleteid", "athletecode", "player", "playerid", "playercode", "subject", "subjectid",
		"participant", "participantid", "participantcode", "id", "code"},
	roleSession: {"session", "sessionid", "sessionnumber", "visit", "occasion", "testdate", "testingdate",
		"sessiondate", "date", "day"},
	roleTrial:    {"trial", "trialnumber", "attempt", "rep", "repetition"},
	roleMeasure:  {"measure", "test", "metric", "variable", "item"},
	roleValue:    {"value", "result", "score"},
	roleSide:     {"side", "limb"},
	roleLevel:    {"level", "squad", "tier"},
	roleGroup:    {"group", "treatment"},
	roleDominant: {"dominant", "dominantside", "dominanthand", "dominantarm", "handedness", "throws", "bats"},
}

// covariateNames are the names of columns that describe the athlete and are
// therefore attributes of a wide table, not measures.
var covariateNames = []string{"age", "trainingage", "sex", "gender", "bodymass", "bodyweight", "mass", "weight",
	"height",
	"stature", "bodyheight", "bmi", "position", "hand", "experience", "maturityoffset", "phv"}

// sideWords are the texts by which a column is known to hold sides.
var sideWords = []string{"left", "right", "l", "r", "both", "b", "bilateral", "dominant", "nondominant", "d", "nd",
	"throwing", "nonthrowing", "other", "switch", "s", "ambidextrous"}

// nameKey is a name as it is recognised: "Athlete ID" is "athleteid".
func nameKey(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// covariateKey is a name as covariates are recognised, without a unit:
// "Body mass (kg)" and "body_mass_kg" are "bodymass".
func covariateKey(s string) string {
	if i := strings.IndexAny(s, "(["); i > 0 {
		s = s[:i]
	}
	parts := strings.FieldsFunc(strings.ToLower(s),
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if n := len(parts); n > 1 && slices.Contains([]string{"kg", "cm", "m", "mm", "lb", "in", "years", "yrs", "year",
		"yr", "y"}, parts[n-1]) {
		parts = parts[:n-1]
	}
	return strings.Join(parts, "")
}

// assignRoles gives the columns their roles: by flags, by the dictionary, by
// their names. What is missing or contradictory goes to the log.
func (l *loader) assignRoles() {
	for _, role := range slices.Sorted(maps.Keys(l.o.Columns)) {
		l.claimNamed(role, l.o.Columns[role], "as --column says", "--column "+role)
	}
	for _, role := range slices.Sorted(maps.Keys(l.dict.Roles)) {
		if _, flagged := l.o.Columns[role]; !flagged && l.byRole[role] == nil {
			l.claimNamed(role, l.dict.Roles[role], "as the dictionary says", l.dict.Path+": nf:roles: "+role)
		}
	}
	for _, role := range allRoles {
		if role != roleMeasure && role != roleValue {
			l.claimByName(role)
		}
	}
	l.claimLayout()
	l.claimLimb("arm", roleGroup)
	l.claimLimb("hand", roleDominant)
	l.requireRoles()
}

// claimNamed gives a role to the column that a flag or the dictionary names;
// an empty name takes the role away.
func (l *loader) claimNamed(role, name, reason, who string) {
	if !slices.Contains(allRoles, role) {
		l.faults.add(Fault{Problem: fmt.Sprintf("%s: there is no role %q", who, role), Hint: suggest(role, "roles",
			allRoles)})
		return
	}
	if name == "" {
		return
	}
	c := l.find(name)
	l.refused[role] = c == nil || c.role != ""
	switch {
	case c == nil:
		l.faults.add(Fault{Problem: fmt.Sprintf("%s: the table has no column %q", who, name), Hint: l.didYouMean(name)})
	case c.role != "":
		l.faults.add(Fault{Problem: fmt.Sprintf("%s: column %q is the %s already", who, c.name, c.role),
			Hint: "a column has one role"})
	default:
		l.claim(role, c, reason)
	}
}

func (l *loader) claim(role string, c *column, reason string) {
	c.role, c.reason = role, reason
	l.byRole[role] = c
}

// find returns the column of a name: exactly, else whatever the case and the
// accents; nil when it is none, or more than one.
func (l *loader) find(name string) *column {
	i, err := names.One("column", l.names(), cleanText(name))
	if err != nil {
		return nil
	}
	return l.columns[i]
}

func (l *loader) names() []string {
	var out []string
	for _, c := range l.columns {
		out = append(out, c.name)
	}
	return out
}

func (l *loader) didYouMean(name string) string {
	return suggest(name, "columns", l.names())
}

// free reports whether a column may be recognised by its name: it has no role,
// was not asked for as an attribute, and is no measure of the dictionary.
func (l *loader) free(c *column) bool {
	if c.role != "" || l.wanted[c] {
		return false
	}
	return !slices.ContainsFunc(l.dict.Measures, func(m measureInfo) bool { return m.Name == c.name })
}

// named finds the free column with the best of a role's names, unless a flag
// took the role away.
func (l *loader) named(role string) *column {
	if _, flagged := l.o.Columns[role]; flagged || l.byRole[role] != nil {
		return nil
	}
	for _, name := range roleNames[role] {
		for _, c := range l.columns {
			if nameKey(c.name) == name && l.free(c) && l.fits(role, name, c) {
				return c
			}
		}
	}
	return nil
}

// fits looks at the cells where a name alone is not enough.
func (l *loader) fits(role, name string, c *column) bool {
	cells := c.present(l.preview)
	switch {
	case role == roleValue:
		return name == "value" || len(cells) == 0 || numbers(cells) > 0 || slices.ContainsFunc(cells, looksNumeric)
	case role == roleMeasure:
		return numbers(cells) < len(cells) || len(cells) == 0
	case role == roleSide:
		return len(cells) == 0 || mostlySides(cells)
	case name == "throws", name == "bats":
		return len(cells) == 0 || allSides(cells)
	}
	return true
}

func allSides(cells [][]byte) bool { return len(cells) > 0 && sides(cells) == len(cells) }

// mostlySides reports whether a column named for the side holds sides; a few
// other texts in it are slips of the pen, and faults, not another kind of column.
func mostlySides(cells [][]byte) bool { return 2*sides(cells) > len(cells) }

func sides(cells [][]byte) (n int) {
	for _, c := range cells {
		if isSide(string(c)) {
			n++
		}
	}
	return n
}

func isSide(text string) bool { return slices.Contains(sideWords, nameKey(text)) }

const byName = "by its name"

func (l *loader) claimByName(role string) {
	if c := l.named(role); c != nil {
		l.claim(role, c, byName)
	}
}

// claimLayout decides between long and wide: a table is long when it has a
// column for the measure and one for the value.
func (l *loader) claimLayout() {
	measure, value := l.byRole[roleMeasure], l.byRole[roleValue]
	namedMeasure, namedValue := l.named(roleMeasure), l.named(roleValue)
	switch {
	case measure == nil && value == nil && namedMeasure != nil && namedValue != nil:
		l.claim(roleMeasure, namedMeasure, byName)
		l.claim(roleValue, namedValue, byName)
	case measure != nil && value == nil && namedValue != nil:
		l.claim(roleValue, namedValue, byName)
	case value != nil && measure == nil && namedMeasure != nil:
		l.claim(roleMeasure, namedMeasure, byName)
	case measure == nil && value == nil && namedMeasure != nil && !l.refused[roleValue]:
		l.faults.add(Fault{Problem: fmt.Sprintf("column %q looks like the names of the measures, but no column is "+
			"known to hold the values", namedMeasure.name),
			Hint: fmt.Sprintf("say which with --column value=NAME, or keep %q as an attribute of a wide table with "+
				"--attribute %q; columns: %s",
				namedMeasure.name, namedMeasure.name, quoteList(l.names()))})
	}
	l.long = l.byRole[roleMeasure] != nil || l.byRole[roleValue] != nil
}

// claimLimb decides what a column named "arm" or "hand" is. When its cells are
// sides and an athlete has more than one, it is the side of the attempt; when
// each athlete has one, it is the dominant side. "arm" with other cells is the
// arm of a trial, a group.
func (l *loader) claimLimb(name, otherwise string) {
	i := slices.IndexFunc(l.columns, func(c *column) bool { return nameKey(c.name) == name })
	if i < 0 || !l.free(l.columns[i]) {
		return
	}
	c := l.columns[i]
	role, reason := "", ""
	switch cells := c.present(l.preview); {
	case len(cells) == 0:
		return
	case !allSides(cells) && name == "arm":
		role, reason = otherwise, "by its name: its cells are not sides"
	case !allSides(cells):
		return
	case l.changesWithin(c):
		role, reason = roleSide, "by its name: athletes have more than one"
	default:
		role, reason = roleDominant, "by its name: each athlete has one"
	}
	if _, flagged := l.o.Columns[role]; !flagged && l.byRole[role] == nil {
		l.claim(role, c, reason)
	}
}

// changesWithin reports whether some athlete of the preview has two texts.
func (l *loader) changesWithin(c *column) bool {
	athlete := l.byRole[roleAthlete]
	if athlete == nil {
		return false
	}
	seen := make(map[string]string)
	for _, r := range l.preview {
		if max(c.index, athlete.index) >= len(r.cells) {
			continue
		}
		text := nameKey(string(r.cells[c.index]))
		if text == "" {
			continue
		}
		code := string(r.cells[athlete.index])
		if before, ok := seen[code]; ok && before != text {
			return true
		}
		seen[code] = text
	}
	return false
}

// requireRoles logs the roles that a table cannot do without, all at once,
// but those that a flag or the dictionary gave to a column that cannot have
// them: these are logged already.
func (l *loader) requireRoles() {
	need := []string{roleAthlete}
	if l.long {
		need = []string{roleAthlete, roleMeasure, roleValue}
	}
	need = slices.DeleteFunc(need, func(role string) bool { return l.byRole[role] != nil || l.refused[role] })
	if len(need) == 0 {
		return
	}
	flags := make([]string, len(need))
	for i, role := range need {
		flags[i] = "--column " + role + "=NAME"
	}
	no := "no column is"
	if len(need) > 1 {
		no = "no columns are"
	}
	l.faults.add(Fault{Problem: no + " known to be the " + strings.Join(need, " and the "),
		Hint: fmt.Sprintf("say which with %s; columns: %s%s", strings.Join(flags, " "), quoteList(l.names()),
			l.alsoOpen())})
}

// alsoOpen names the other roles that may be wanted and that no column has.
func (l *loader) alsoOpen() string {
	var open []string
	if l.byRole[roleSession] == nil && !l.refused[roleSession] {
		open = append(open, "--column session=NAME if there are several sessions")
	}
	if !l.long && !l.refused[roleMeasure] && !l.refused[roleValue] {
		open = append(open, "--column measure=NAME --column value=NAME if each row is one attempt")
	}
	if len(open) == 0 {
		return ""
	}
	return "; also " + strings.Join(open, ", ")
}

// sayRoles writes a sentence for each role.
func (l *loader) sayRoles() {
	absent := map[string]string{
		roleSession: `session: no column; every row belongs to one session, "1"`,
		roleTrial:   "trial: no column; repeated rows are trials, in the order of the file",
	}
	for _, role := range allRoles {
		if c := l.byRole[role]; c != nil {
			l.taken("%s: column %q (%s)", role, c.name, c.reason)
		} else if s := absent[role]; s != "" {
			l.taken("%s", s)
		}
	}
}
