package dictionary

import (
	"slices"
	"strconv"
	"strings"
)

// sides are the sides of a measure, which also stand behind the full stop of
// a full name: "throw.left".
var sides = []string{"left", "right", "dominant", "other", "both"}

// Measure returns the measure called name. Where none has that name, and it
// is "base.side", it is the measure called base with that side, unless base
// is described as another side alone.
func (d *Dictionary) Measure(name string) (Measure, bool) {
	return lookUp(name, func(name string) (Measure, bool) {
		for i := range d.Measures {
			if d.Measures[i].Name == name {
				return d.Measures[i], true
			}
		}
		return Measure{}, false
	})
}

// lookUp finds a measure by its name or by that of its base.
func lookUp(name string, find func(string) (Measure, bool)) (Measure, bool) {
	if m, ok := find(name); ok {
		return m, true
	}
	base, side, ok := cutSide(name)
	if !ok {
		return Measure{}, false
	}
	m, ok := find(base)
	if !ok || m.Side != "" && m.Side != side {
		return Measure{}, false
	}
	m.Name, m.Side = name, side
	return m, true
}

// cutSide splits "throw.left" into "throw" and "left".
func cutSide(name string) (base, side string, ok bool) {
	dot := strings.LastIndexByte(name, '.')
	if dot < 1 || !slices.Contains(sides, name[dot+1:]) {
		return "", "", false
	}
	return name[:dot], name[dot+1:], true
}

// namespace reports nf: keys of a resource that do not exist.
func (r *reader) namespace(i item) {
	known := ours().known()
	for _, m := range i.members() {
		if name := m.name; strings.HasPrefix(name, "nf:") && !slices.Contains(known, name) {
			m.fault("unknown key%s (known: %s)", didYouMean(name, known), strings.Join(known, ", "))
		}
	}
}

// misplaced reports nf: keys where they mean nothing.
func misplaced(i item) {
	for _, m := range i.members() {
		if strings.HasPrefix(m.name, "nf:") {
			m.fault("stands outside the resource; move it into the resource that describes the table")
		}
	}
}

// roles reads which column plays which part.
func (r *reader) roles(i item) {
	taken := make(map[string]string)
	for _, m := range i.members() {
		column := m.text()
		if column == "" {
			continue
		}
		if other, ok := taken[column]; ok {
			m.fault("column %q is already the %s", clip(column), other)
		}
		taken[column] = m.name
		r.column(m)
		if r.Roles == nil {
			r.Roles = make(map[string]string)
		}
		r.Roles[m.name] = column
	}
}

// measures reads nf:measures, as a list or as an object from name to measure.
func (r *reader) measures(i item) {
	b := &book{index: make(map[string]int)}
	for _, m := range append(i.members(), listOf(i)...) {
		if !m.is("object") {
			continue
		}
		measure := readMeasure(m)
		if i.is("object") {
			nameFromKey(m, &measure)
		} else if _, ok := b.find(measure.Name); ok && measure.Name != "" {
			m.get("name").fault("%q is already the name of another measure", clip(measure.Name))
		}
		b.add(m, measure)
	}
	for k, m := range b.measures {
		b.partner(b.places[k], m, "pair")
		b.partner(b.places[k], m, "counterpart")
		b.quickness(b.places[k], m)
	}
	r.Measures = b.measures
}

// A book is the measures of a descriptor by name, and where they stand.
type book struct {
	measures []Measure
	places   []item
	names    []string
	index    map[string]int
}

func (b *book) add(place item, m Measure) {
	if _, ok := b.index[m.Name]; !ok {
		b.index[m.Name] = len(b.measures)
	}
	b.measures, b.places, b.names = append(b.measures, m), append(b.places, place), append(b.names, m.Name)
}

func (b *book) find(name string) (Measure, bool) {
	k, ok := b.index[name]
	if !ok {
		return Measure{}, false
	}
	return b.measures[k], true
}

// listOf returns the elements of an array only.
func listOf(i item) []item {
	if !i.is("array") {
		return nil
	}
	return i.list()
}

// nameFromKey names a measure of the object form by its key.
func nameFromKey(i item, m *Measure) {
	if m.Name != "" && m.Name != i.name {
		i.get("name").fault("%q differs from the key it stands under, %q; remove it", clip(m.Name), clip(i.name))
	}
	m.Name = i.name
	if m.Name == "" {
		i.fault("the name of the measure is empty")
	}
}

func readMeasure(i item) Measure {
	m := Measure{
		Name:            i.get("name").text(),
		Label:           i.get("label").text(),
		Unit:            i.get("unit").text(),
		Plane:           i.get("plane").text(),
		Region:          i.get("region").text(),
		Quality:         i.get("quality").text(),
		Quantity:        i.get("quantity").text(),
		Side:            i.get("side").text(),
		Pair:            i.get("pair").text(),
		Countermovement: i.get("countermovement").text(),
		Counterpart:     i.get("counterpart").text(),
		Quickness:       i.get("quickness").text(),
		Load:            i.get("load").number(),
		Better:          i.get("better").text(),
		Scale:           i.get("scale").text(),
		Role:            i.get("role").text(),
		Worthwhile:      i.get("worthwhile").number(),
		Minimum:         i.get("minimum").number(),
		Maximum:         i.get("maximum").number(),
	}
	if m.Minimum != nil && m.Maximum != nil && *m.Minimum >= *m.Maximum {
		i.get("maximum").fault("want more than the minimum, %s, found %s", short(*m.Minimum), short(*m.Maximum))
	}
	return m
}

func short(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// quickness checks that the test named in quickness exists, is another one, is
// of the same side, and does not name this one in turn.
func (b *book) quickness(place item, m Measure) {
	i := place.get("quickness")
	if i.text() == "" {
		return
	}
	other, ok := lookUp(i.text(), b.find)
	switch {
	case !ok:
		i.fault("there is no measure %q%s", clip(i.text()), didYouMean(i.text(), b.names))
	case other.Name == m.Name:
		i.fault("%q is this measure itself", clip(m.Name))
	case other.Quickness == m.Name:
		i.fault("%q and this measure name each other; keep it on the one that says how much", clip(other.Name))
	case m.Side != "" && other.Side != "" && m.Side != other.Side:
		i.fault("%q is of the side %q, this measure of the side %q", clip(other.Name), other.Side, m.Side)
	}
}

// partner checks that the measure named in pair, or in counterpart, exists,
// is another one, names this one if it names any, and does differ.
func (b *book) partner(place item, m Measure, key string) {
	i := place.get(key)
	if i.text() == "" {
		return
	}
	other, ok := lookUp(i.text(), b.find)
	if !ok {
		i.fault("there is no measure %q%s", clip(i.text()), didYouMean(i.text(), b.names))
		return
	}
	back, mine, theirs := other.Pair, m.Side, other.Side
	if key == "counterpart" {
		back, mine, theirs = other.Counterpart, m.Countermovement, other.Countermovement
	}
	switch {
	case other.Name == m.Name:
		i.fault("%q is this measure itself", clip(m.Name))
	case back != "" && back != m.Name:
		i.fault("%q names another %s, %q", clip(other.Name), key, clip(back))
	case mine != "" && mine == theirs && key == "pair":
		i.fault("both measures are of the side %q", mine)
	case mine != "" && mine == theirs:
		i.fault("both measures are %s a countermovement", mine)
	}
}
