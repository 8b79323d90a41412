package dictionary

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// fields wraps one field in a resource.
func fields(field string) string { return version2(`,"schema":{"fields":[` + field + `]}`) }

// measures wraps descriptions of measures in a resource.
func measures(list string) string { return version2(`,"nf:measures":[` + list + `]`) }

const (
	allRoles = "(known: athlete, dominant, group, level, measure, session, side, trial, value)"
	allKeys  = "(known: better, countermovement, counterpart, label, load, maximum, minimum, name, pair, plane, quality, quantity, quickness, region, role, scale, side, unit, worthwhile)"
	field0   = "resources[0].schema.fields[0]"
	measure0 = "resources[0].nf:measures[0]"
)

// Each descriptor has exactly the faults that are listed. The rules are those
// of the standard, or of this project where a key begins with nf:.
func TestFaults(t *testing.T) {
	tests := []struct {
		name, text string
		want       []string
	}{
		// the package
		{"no resources", `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json"}`,
			[]string{`"resources" is missing`}},
		{"no resources, 1.0", `{}`, []string{`"resources" is missing (Data Package 1.0)`}},
		{"empty resources", `{"resources":[]}`,
			[]string{`resources: want at least 1 in the list, found 0 (Data Package 1.0)`}},
		{"resources by name", `{"resources":{"a":1}}`,
			[]string{`resources: want a list, [ ... ], found an object, { ... } (Data Package 1.0)`}},
		{"schema id", `{"$schema":2,"resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`$schema: want a text, found a number`}},
		{"names", version2(`},{"name":"tests","path":"b.pdf"`),
			[]string{`resources[1].name: "tests" is already the name of another resource`}},
		{"nf outside", `{"nf:measures":[],"resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`nf:measures: stands outside the resource; move it into the resource that describes the table`}},
		{"licence", `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json","licenses":[{"title":"x"}],"keywords":[],"resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`licenses[0]: one of "name", "path" is missing`,
				`keywords: want at least 1 in the list, found 0`}},
		{"contributor, 1.0",
			`{"contributors":[{"title":"x","role":"boss","email":"nobody"}],"resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`contributors[0].role: "boss" is not one of publisher, author, maintainer, wrangler, contributor (Data Package 1.0)`,
				`contributors[0].email: "nobody" is not a valid email (Data Package 1.0)`}},
		{"name, 1.0", `{"name":"My Cohort","resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`name: "My Cohort" is not of the form ^([-a-z0-9._/])+$ (Data Package 1.0)`}},
		{"twice", "{\"resources\":[{\"name\":\"a\",\n\"name\":\"b\",\"path\":\"a.csv\"}]}",
			[]string{`resources[0].name: this key is written twice (again in line 2); keep one`}},
		{"twice, with a key written twice inside",
			"{\"a\":1,\n\"a\":{\"b\":1,\n\"b\":2},\"resources\":[{\"name\":\"a\",\"path\":\"a.csv\"}]}", []string{
				`a: this key is written twice (again in line 2); keep one`,
				`a.b: this key is written twice (again in line 3); keep one`,
			}},
		{"long key", `{"` + strings.Repeat("x", 70) + `":{"a":1,"a":2},"resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`["` + strings.Repeat("x", 60) + `…"].a: this key is written twice (again in line 1); keep one`}},
		{"number", version2(`,"bytes":1e999,"x":1e-9999,"y":0e99999999`),
			[]string{`resources[0].bytes: the number 1e999 is out of range`,
				`resources[0].x: the number 1e-9999 is out of range`}},

		// which resource
		{"no table", `{"resources":[{"name":"a","path":"a.pdf"}]}`,
			[]string{`resources: none is a table: "a" (a.pdf)`}},
		{"two tables", version2(`},{"name":"b","path":["b.csv","c.csv"]`),
			[]string{`resources: which of them describes the table? "tests" (tests.csv), "b" (b.csv, c.csv); give the table as a file with one of these paths, or leave one in the descriptor`}},

		// the resource
		{"no name", `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json","resources":[{"schema":{"fields":[{"name":"a"}]}}]}`,
			[]string{`resources[0]: "name" is missing`, `resources[0]: one of "data", "path" is missing`}},
		{"no name, 1.0", `{"resources":[{"path":"a.csv"},{"path":"a.pdf"}]}`,
			[]string{`resources[0]: "name" is missing`, `resources[1]: "name" is missing (Data Package 1.0)`}},
		{"nothing, 1.0", `{"resources":[{"name":"a","path":"a.csv","profile":"tabular-data-resource"}]}`,
			[]string{`resources[0]: "schema" is missing (Tabular Data Resource 1.0)`}},
		{"path and data", version2(`,"data":[]`),
			[]string{`resources[0].data: stands beside "path"; a resource has one of them`}},
		{"data", `{"resources":[{"name":"a","type":"table","data":[]}]}`,
			[]string{`resources[0].data: tables inside the descriptor are not read; put the table in a file and name it in "path"`}},
		{"path kind, 1.0", `{"resources":[{"name":"a","path":5,"format":"csv"}]}`,
			[]string{`resources[0].path: want a list, [ ... ] or a text, found a number`}},
		{"path kind in another, 1.0", `{"resources":[{"name":"a","path":"a.csv"},{"name":"b","path":5}]}`,
			[]string{`resources[1].path: want a list, [ ... ] or a text, found a number (Data Package 1.0)`}},
		{"bytes", version2(`,"bytes":-1`), []string{`resources[0].bytes: want at least 0, found -1`}},
		{"part of a byte", version2(`,"bytes":1.5`),
			[]string{`resources[0].bytes: want a whole number, found a number`}},
		{"hash", version2(`,"hash":"sha256:12"`),
			[]string{`resources[0].hash: "sha256:12" is not a checksum; sha256 has 64 hexadecimal digits`}},
		{"hash letters", version2(`,"hash":"` + strings.Repeat("g", 32) + `"`),
			[]string{`resources[0].hash: "` + strings.Repeat("g",
				32) + `" is not a checksum; md5 has 32 hexadecimal digits`}},
		{"encoding", version2(`,"encoding":"iso-8859-1"`),
			[]string{`resources[0].encoding: "iso-8859-1" is not supported; use utf-8, utf-16, utf-16le, utf-16be or windows-1252`}},
		{"mediatype", version2(`,"mediatype":"csv"`),
			[]string{`resources[0].mediatype: "csv" is not of the form ^(.+)/(.+)$`}},

		// the dialect
		{"delimiter", version2(`,"dialect":{"delimiter":"||","commentChar":"\""}`),
			[]string{`resources[0].dialect.delimiter: want one character, found "||"`,
				`resources[0].dialect.commentChar: "\"" cannot be used here`}},
		{"comment is delimiter", version2(`,"dialect":{"delimiter":";","commentChar":";"}`),
			[]string{`resources[0].dialect.commentChar: ";" cannot be used here`}},
		{"quoting", version2(`,"dialect":{"quoteChar":"'","doubleQuote":false,"escapeChar":"\\","lineTerminator":"|"}`), []string{
			`resources[0].dialect.quoteChar: "'" is not supported; quote cells with "`,
			`resources[0].dialect.doubleQuote: false is not supported; double a quote inside quotes`,
			`resources[0].dialect.escapeChar: is not supported; quote cells with " and double a quote inside`,
			`resources[0].dialect.lineTerminator: "|" is not supported; end lines with \n or \r\n`}},
		{"header rows", version2(`,"dialect":{"headerRows":[1,2]}`),
			[]string{`resources[0].dialect.headerRows: only [1] is supported: one header, in the first row`}},
		{"header row 2", version2(`,"dialect":{"headerRows":[2]}`),
			[]string{`resources[0].dialect.headerRows: only [1] is supported: one header, in the first row`}},
		{"no header", version2(`,"dialect":{"header":false}`),
			[]string{`resources[0].dialect.header: is false, and schema.fields names no columns; add the fields, in the order of the columns`}},
		{"other files",
			version2(`,"dialect":{"property":"a","itemType":"array","itemKeys":["a"],"table":"t","commentRows":[1],"nullSequence":"\\N"}`), []string{
				`resources[0].dialect.property: JSON tables are not read; store the table as CSV or as a workbook`,
				`resources[0].dialect.itemType: JSON tables are not read; store the table as CSV or as a workbook`,
				`resources[0].dialect.itemKeys: JSON tables are not read; store the table as CSV or as a workbook`,
				`resources[0].dialect.table: database tables are not read; store the table as CSV or as a workbook`,
				`resources[0].dialect.commentRows: is not supported; mark comments with commentChar, or remove the rows`,
				`resources[0].dialect.nullSequence: is not supported; list "\\N" in schema.missingValues`}},
		{"sheet", version2(`,"dialect":{"sheetNumber":0}`),
			[]string{`resources[0].dialect.sheetNumber: want at least 1, found 0`}},

		// the schema
		{"no fields", version2(`,"schema":{}`), []string{`resources[0].schema: "fields" is missing`}},
		{"field names", fields(`{"name":"a"},{"name":"a"},{"name":""},{}`), []string{
			`resources[0].schema.fields[1].name: "a" is already the name of another field`,
			`resources[0].schema.fields[2].name: is empty`,
			`resources[0].schema.fields[3]: "name" is missing`}},
		{"field kind", fields(`"a"`), []string{field0 + `: want an object, { ... }, found a text`}},
		{"type", fields(`{"name":"a","type":"geopoint"}`),
			[]string{field0 + `.type: "geopoint" is not supported (supported: string, number, integer, boolean, date, any)`}},
		{"type slip", fields(`{"name":"a","type":"Integer"}`),
			[]string{field0 + `.type: "Integer" is not supported; did you mean "integer"? (supported: string, number, integer, boolean, date, any)`}},
		{"type, 1.0",
			`{"resources":[{"name":"a","path":"a.csv","profile":"tabular-data-resource","schema":{"fields":[{"name":"a","type":"text"}]}}]}`,
			[]string{field0 + `.type: "text" is not supported (supported: string, number, integer, boolean, date, any)`}},
		{"constraint, 1.0",
			`{"resources":[{"name":"a","path":"a.csv","profile":"tabular-data-resource","schema":{"fields":[{"name":"a","type":"integer","constraints":{"enum":[1,1.5]}}]}}]}`,
			[]string{field0 + `.constraints.enum[1]: want a whole number, found a number (Tabular Data Resource 1.0)`}},
		{"formats", fields(`{"name":"a","type":"number","format":"currency"},{"name":"b","type":"date","format":"any"},{"name":"c","type":"date","format":"dmy"}`), []string{
			field0 + `.format: "currency" is not a format of type number`,
			`resources[0].schema.fields[1].format: "any" would be guessed; write the form of the dates, such as "%d.%m.%Y"`,
			`resources[0].schema.fields[2].format: "dmy" is not a format of type date`}},
		{"number signs",
			fields(`{"name":"a","type":"number","decimalChar":"·"},{"name":"b","type":"number","decimalChar":",","groupChar":","},{"name":"c","type":"number","groupChar":"."}`), []string{
				field0 + `.decimalChar: "·" is not supported; use "." or ","`,
				`resources[0].schema.fields[1].groupChar: "," cannot be used here`,
				`resources[0].schema.fields[2].groupChar: "." cannot be used here`}},
		{"true and false", fields(`{"name":"a","type":"boolean","trueValues":["1","x"],"falseValues":["0","x"]}`),
			[]string{field0 + `.falseValues[1]: "x" is also in trueValues`}},
		{"missing values", version2(`,"schema":{"fields":[{"name":"a"}],"missingValues":["",5,{"label":"x"}]}`),
			[]string{
				`resources[0].schema.missingValues[1]: want a text or an object, { ... }, found a number`,
				`resources[0].schema.missingValues[2]: "value" is missing`}},
		{"keys", version2(`,"schema":{"fields":[{"name":"athlete"},{"name":"trial"}],"primaryKey":["athlete","trail","athlete"],"uniqueKeys":[["x"],"y"]}`), []string{
			`resources[0].schema.primaryKey[1]: schema.fields has no column "trail"; did you mean "trial"? (columns: "athlete", "trial")`,
			`resources[0].schema.primaryKey[2]: "athlete" is named twice`,
			`resources[0].schema.uniqueKeys[0][0]: schema.fields has no column "x" (columns: "athlete", "trial")`,
			`resources[0].schema.uniqueKeys[1]: schema.fields has no column "y" (columns: "athlete", "trial")`}},
		{"fields match", version2(`,"schema":{"fields":[{"name":"a"}],"fieldsMatch":"all"}`),
			[]string{`resources[0].schema.fieldsMatch: "all" is not one of exact, equal, subset, superset, partial`}},
		{"fields match twice", version2(`,"schema":{"fields":[{"name":"a"}],"fieldsMatch":["exact","equal"]}`),
			[]string{`resources[0].schema.fieldsMatch: want at most 1 in the list, found 2`}},
		{"nf in the schema", version2(`,"schema":{"fields":[{"name":"a"}],"nf:roles":{}}`),
			[]string{`resources[0].schema.nf:roles: stands outside the resource; move it into the resource that describes the table`}},

		// constraints
		{"pattern", fields(`{"name":"a","type":"string","constraints":{"pattern":"(?=a)b"}}`),
			[]string{field0 + `.constraints.pattern: not a pattern that can be used: invalid or unsupported Perl syntax: "(?="`}},
		{"pattern that closes ours", fields(`{"name":"a","type":"string","constraints":{"pattern":"a)|(b"}}`),
			[]string{field0 + `.constraints.pattern: not a pattern that can be used: unexpected ): "a)|(b"`}},
		{"lengths", fields(`{"name":"a","type":"string","constraints":{"minLength":3,"maxLength":2}}`),
			[]string{field0 + `.constraints.maxLength: 2 is less than minLength, 3`}},
		{"length", fields(`{"name":"a","type":"string","constraints":{"minLength":-1}}`),
			[]string{field0 + `.constraints.minLength: want at least 0, found -1`}},
		{"limits", fields(`{"name":"a","type":"number","constraints":{"minimum":3,"maximum":2.5}}`),
			[]string{field0 + `.constraints.maximum: 2.5 is less than the minimum, 3`}},
		{"limit", fields(`{"name":"a","type":"number","constraints":{"exclusiveMinimum":"0x10","exclusiveMaximum":"1_0"}}`), []string{
			field0 + `.constraints.exclusiveMinimum: "0x10" is not a number`,
			field0 + `.constraints.exclusiveMaximum: "1_0" is not a number`}},
		{"dates", fields(`{"name":"a","type":"date","constraints":{"minimum":"31.12.2024","maximum":2024}}`), []string{
			field0 + `.constraints.minimum: "31.12.2024" is not a date of the form 2024-05-31`,
			field0 + `.constraints.maximum: want a date, such as "2024-05-31", found a number`}},
		{"enum", fields(`{"name":"a","constraints":{"enum":["x","x"],"required":"yes"}}`), []string{
			field0 + `.constraints.enum: elements 0 and 1 are the same`,
			field0 + `.constraints.required: want true or false, found a text`}},

		// roles
		{"role", version2(`,"nf:roles":{"athelete":"code","x":"y"}`), []string{
			`resources[0].nf:roles.athelete: unknown role; did you mean "athlete"? ` + allRoles,
			`resources[0].nf:roles.x: unknown role ` + allRoles}},
		{"role column",
			version2(`,"schema":{"fields":[{"name":"Code"}]},"nf:roles":{"athlete":"code","session":5,"trial":""}`),
			[]string{
				`resources[0].nf:roles.athlete: schema.fields has no column "code"; did you mean "Code"? (columns: "Code")`,
				`resources[0].nf:roles.session: want a text, found a number`,
				`resources[0].nf:roles.trial: is empty`}},
		{"role twice", version2(`,"nf:roles":{"athlete":"code","session":"code"}`),
			[]string{`resources[0].nf:roles.session: column "code" is already the athlete`}},
		{"nf slip", version2(`,"nf:measure":[]`),
			[]string{`resources[0].nf:measure: unknown key; did you mean "nf:measures"? (known: nf:measures, nf:roles)`}},

		// measures
		{"vocabularies",
			measures(`{"name":"a","plane":"diagonal","region":"arm","quality":"power","side":"links","countermovement":"yes","better":"more","scale":"ln","role":"result"}`), []string{
				measure0 + `.plane: "diagonal" is not one of sagittal, frontal, transverse`,
				measure0 + `.region: "arm" is not one of upper, trunk, lower, whole`,
				measure0 + `.quality: "power" is not one of absolute strength, strength-speed, speed-strength, absolute speed`,
				measure0 + `.side: "links" is not one of left, right, dominant, other, both`,
				measure0 + `.countermovement: "yes" is not one of with, without`,
				measure0 + `.better: "more" is not one of higher, lower`,
				measure0 + `.scale: "ln" is not one of raw, log`,
				measure0 + `.role: "result" is not one of test, outcome, covariate`}},
		{"measure key", measures(`{"name":"a","pln":"sagittal","Unit":"m"}`), []string{
			measure0 + `.pln: unknown key; did you mean "plane"? ` + allKeys,
			measure0 + `.Unit: unknown key; did you mean "unit"? ` + allKeys}},
		{"measure numbers",
			measures(`{"name":"a","worthwhile":0,"minimum":2,"maximum":2},{"name":"b","worthwhile":"1"}`), []string{
				measure0 + `.worthwhile: want more than 0, found 0`,
				measure0 + `.maximum: want more than the minimum, 2, found 2`,
				`resources[0].nf:measures[1].worthwhile: want a number, found a text`}},
		{"measure names", measures(`{"name":"a"},{"name":"a"},{"unit":"m"},{"name":""},7`), []string{
			`resources[0].nf:measures[1].name: "a" is already the name of another measure`,
			`resources[0].nf:measures[2]: "name" is missing`,
			`resources[0].nf:measures[3].name: is empty`,
			`resources[0].nf:measures[4]: want an object, { ... }, found a number`}},
		{"pairs", measures(`{"name":"throw.l","pair":"throw.r"},{"name":"jump","pair":"jump"},{"name":"x","pair":"y"},{"name":"y","pair":"z"},{"name":"z"}`), []string{
			measure0 + `.pair: there is no measure "throw.r"; did you mean "throw.l"?`,
			`resources[0].nf:measures[1].pair: "jump" is this measure itself`,
			`resources[0].nf:measures[2].pair: "y" names another pair, "z"`}},
		{"pair of one side", measures(`{"name":"a","side":"left","pair":"b"},{"name":"b","side":"left"}`),
			[]string{measure0 + `.pair: both measures are of the side "left"`}},
		{"counterparts",
			measures(`{"name":"a","countermovement":"with","counterpart":"b"},{"name":"b","countermovement":"with","counterpart":"c"},{"name":"c","countermovement":"with"}`), []string{
				measure0 + `.counterpart: "b" names another counterpart, "c"`,
				`resources[0].nf:measures[1].counterpart: both measures are with a countermovement`}},
		{"quickness",
			measures(`{"name":"turn","quickness":"risse"},{"name":"rise","quickness":"rise"},{"name":"a","quickness":"b"},{"name":"b","quickness":"a"}`), []string{
				measure0 + `.quickness: there is no measure "risse"; did you mean "rise"?`,
				`resources[0].nf:measures[1].quickness: "rise" is this measure itself`,
				`resources[0].nf:measures[2].quickness: "b" and this measure name each other; keep it on the one that says how much`,
				`resources[0].nf:measures[3].quickness: "a" and this measure name each other; keep it on the one that says how much`}},
		{"quickness of the other side",
			measures(`{"name":"a","side":"left","quickness":"b"},{"name":"b","side":"right"}`), []string{
				measure0 + `.quickness: "b" is of the side "right", this measure of the side "left"`}},
		{"load", measures(`{"name":"a","load":-1},{"name":"b","load":"20 kg"}`), []string{
			measure0 + `.load: want at least 0, found -1`,
			`resources[0].nf:measures[1].load: want a number, found a text`}},
		{"object form", version2(`,"nf:measures":{"a":{"name":"b"},"":{},"throw.left":{"plane":1},"c":3}`), []string{
			`resources[0].nf:measures.a.name: "b" differs from the key it stands under, "a"; remove it`,
			`resources[0].nf:measures[""]: the name of the measure is empty`,
			`resources[0].nf:measures["throw.left"].plane: 1 is not one of sagittal, frontal, transverse`,
			`resources[0].nf:measures.c: want an object, { ... }, found a number`}},
		{"measures as text", version2(`,"nf:measures":"a"`),
			[]string{`resources[0].nf:measures: want a list, [ ... ] or an object, { ... }, found a text`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := write(t, tt.text)
			_, err := Open(path, "")
			if diff := cmp.Diff(tt.want, messages(path, lines(err))); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// The rules for paths are those of the standard: POSIX, relative, inside the
// package, no dot-folders; URLs are refused because nothing is fetched.
func TestPaths(t *testing.T) {
	bad := map[string]string{
		"":                      "is empty",
		"https://example.org/a": "is a URL; only files of the package are read, so store the file and name it here",
		"file:a.csv":            "is a URL; only files of the package are read, so store the file and name it here",
		`data\a.csv`:            "has a backslash; write / between folders",
		"/etc/a.csv":            "is not relative to the descriptor; name the file as seen from its folder",
		"~/a.csv":               "is not relative to the descriptor; name the file as seen from its folder",
		"C:/a.csv":              "is not relative to the descriptor; name the file as seen from its folder",
		"../a.csv":              `leaves the folder of the descriptor by ".."; move the file inside`,
		"data/../../a.csv":      `leaves the folder of the descriptor by ".."; move the file inside`,
		"./a.csv":               "has a part that begins with a full stop, which the standard forbids",
		"data/.hidden/a.csv":    "has a part that begins with a full stop, which the standard forbids",
		"data//a.csv":           "has an empty part; write one / between folders",
		"a\x00.csv":             "has a control character",
	}
	for path, want := range bad {
		if got := checkPath(path); got != want {
			t.Errorf("checkPath(%q) = %q, want %q", path, got, want)
		}
	}
	for _, path := range []string{"a.csv", "data/a.csv", "data/run 1/ä..b.csv", "a:b.csv"[:1] + "-b.csv"} {
		if got := checkPath(path); got != "" {
			t.Errorf("checkPath(%q) = %q, want none", path, got)
		}
	}
	file := write(t, version2(`},{"name":"x","path":"../x.csv","schema":{"fields":[{"name":"a"}]}`))
	_, err := Open(file, "x.csv")
	want := []string{`resources[1].path: leaves the folder of the descriptor by ".."; move the file inside`}
	if diff := cmp.Diff(want, messages(file, lines(err))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// What is sound but not used is said, and is no fault.
func TestWarnings(t *testing.T) {
	tests := []struct {
		name, text string
		want       []string
	}{
		{"profile", `{"$schema":"https://example.org/our.json","resources":[{"name":"a","path":"a.csv"}]}`,
			[]string{`$schema: "https://example.org/our.json" is not known here; checked against Data Package 2.0`}},
		{"constraints",
			fields(`{"name":"a","type":"string","constraints":{"jsonSchema":{},"minimum":1,"minimun":2,"xyz":1}},{"name":"b","constraints":{"pattern":"("}}`), []string{
				field0 + `.constraints.jsonSchema: not supported, so not checked`,
				field0 + `.constraints.minimum: has no meaning for type string, so not checked`,
				field0 + `.constraints.minimun: unknown constraint, so not checked; did you mean "minimum"?`,
				field0 + `.constraints.xyz: unknown constraint, so not checked`,
				`resources[0].schema.fields[1].constraints.pattern: has no meaning for type any, so not checked`}},
		{"formats", fields(`{"name":"a","type":"string","format":"email"}`),
			[]string{field0 + `.format: "email" is not checked`}},
		{"number signs",
			fields(`{"name":"a","type":"integer","decimalChar":","},{"name":"b","type":"string","groupChar":"."}`),
			[]string{
				field0 + `.decimalChar: has no meaning for type integer, so not used`,
				`resources[0].schema.fields[1].groupChar: has no meaning for type string, so not used`}},
		{"slips", version2(`,"encodng":"utf-8","ns:encodin":1,"colour":1,"dialect":{"delimeter":";"},"schema":{"missingValue":[],"fields":[{"name":"a","tpye":"number"}]}`), []string{
			`resources[0].encodng: unknown key, not used; did you mean "encoding"?`,
			`resources[0].dialect.delimeter: unknown key, not used; did you mean "delimiter"?`,
			`resources[0].schema.missingValue: unknown key, not used; did you mean "missingValues"?`,
			field0 + `.tpye: unknown key, not used; did you mean "type"?`}},
		{"hash", version2(`,"hash":"sha1:00"`),
			[]string{`resources[0].hash: the method "sha1" is not supported, so the file is not checked; write sha256:…`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := write(t, tt.text)
			d, err := Open(path, "")
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, messages(path, d.Warnings...)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}
