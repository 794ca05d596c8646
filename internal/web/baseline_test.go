package web_test

import (
	"bufio"
	"cmp"
	"encoding/json"
	"flag"
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/garden"
)

// The browsers that the pages must work in: those of autumn 2021.
var baseline = []struct {
	name    string
	version float64
}{{"chrome", 92}, {"firefox", 91}, {"safari", 15}}

// youngerFile lists the features that at least one browser of the baseline does not have. It is drawn from MDN's browser-compat-data (CC0), 8.1.9 of 12 November 2026, by
//
//	go test ./internal/web -run TestNothingYounger -compat data.json
const youngerFile = "testdata/younger.txt"

var compat = flag.String("compat", "", "MDN's browser-compat-data as one JSON file, to make testdata/younger.txt of")

// let are uses of younger features that cost nothing where they are unknown, each with the reason. A feature that is used no more must leave the list.
var let = map[string]string{
	"at-rule bottom-right":           "pages are numbered by the browser itself, if at all",
	"at-rule page":                   "the browser's own margins hold on paper",
	"member vibrate":                 "behind a test",
	"property appearance":            "stands behind its prefixed name",
	"property color-scheme":          "colours are set one by one as well",
	"property content-visibility":    "what is folded away on screen is folded away on paper",
	"property outline":               "before, it had square corners; so have we",
	"property paint-order":           "is for the words of charts, where SVG had it before",
	"property text-size-adjust":      "stands behind its prefixed name; Firefox on the desk needs none",
	"property text-wrap":             "titles break where they will",
	"selector details-content":       "in a rule of its own, with content-visibility",
	"selector focus-visible":         "in rules of their own: the browser's own ring is seen, and :focus stands in for it where that would be hidden",
	"value break-after:avoid":        "a heading may end a printed page",
	"value font-family:ui-monospace": "one of a list",
	"value overflow-wrap:anywhere":   "break-word is inherited, which breaks the same words",
	"property overscroll-behavior-y": "a pull reloads the page as everywhere; what was noted is kept",
}

func TestNothingYoungerThanTheBaseline(t *testing.T) {
	if *compat != "" {
		makeYounger(t)
	}
	list := younger(t)
	used := map[string]bool{}
	for name, text := range shippedText(t) {
		for _, f := range list.find(name, text) {
			used[f] = true
			if let[f] == "" {
				t.Errorf("%s uses %s, which not all of %v have (%s)", name, f, baseline, list[f])
			}
		}
	}
	for f := range let {
		if !used[f] {
			t.Errorf("%s is let through and used nowhere", f)
		}
	}
}

// shippedText are the scripts and styles as they are served.
func shippedText(t *testing.T) map[string]string {
	t.Helper()
	s, out := newSite(t, garden.Records{}), map[string]string{}
	for _, name := range []string{"/static/look.css", "/static/note.js", "/static/join.js", "/static/grid.js", "/worker.js"} {
		if out[name] = s.get(name).Body.String(); out[name] == "" {
			t.Errorf("%s is empty", name)
		}
	}
	return out
}

// features maps the name of each younger feature, its kind before it, to the versions of Chrome, Firefox and Safari that brought it.
type features map[string]string

func younger(t *testing.T) features {
	t.Helper()
	f, err := os.Open(youngerFile)
	must(t, err)
	defer f.Close()
	out := features{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		words := strings.Fields(lines.Text())
		out[words[0]+" "+words[1]] = strings.Join(words[2:], ", ")
	}
	return out
}

// syntax are younger pieces of grammar, which have no name of their own to look for.
var syntax = map[string]*regexp.Regexp{
	"static block of a class":  regexp.MustCompile(`\bstatic\s*\{`),
	"private name in a class":  regexp.MustCompile(`this\.#|#\w+ in\b`),
	"look-behind in a pattern": regexp.MustCompile(`\(\?<[=!]`),
	"flag d or v of a pattern": regexp.MustCompile(`/[gimsuy]*[dv][gimsuy]*[.,;)]`),
	"using":                    regexp.MustCompile(`\b(await )?using \w+ =`),
	"error with a cause":       regexp.MustCompile(`\bcause:`),
}

var (
	comments   = regexp.MustCompile(`(?s)/\*.*?\*/`)
	remarks    = regexp.MustCompile(`(?m)(^|\s)//.*$`)
	member     = regexp.MustCompile(`\.\s*([A-Za-z]\w*)`)
	called     = regexp.MustCompile(`(?:^|[^.\w])([A-Za-z]\w*)\(`)
	quoted     = regexp.MustCompile(`"[^"\n]*"|'[^'\n]*'`)
	atRule     = regexp.MustCompile(`@([a-z-]+)`)
	pseudo     = regexp.MustCompile(`::?([a-z-]+)`)
	function   = regexp.MustCompile(`\b([a-z-]+)\(`)
	unit       = regexp.MustCompile(`\d(dv|sv|lv)(h|w|b|i|min|max)\b|\d(cqw|cqh|cqi|cqb|cqmin|cqmax|lh|rlh|cap|rcap|ic|ric|rex|rch)\b`)
	preludes   = regexp.MustCompile(`([^{};]*)\{`)
	declared   = regexp.MustCompile(`([a-z-]+)\s*:\s*([^;{}]+)`)
	nested     = regexp.MustCompile(`[{;]\s*&`)
	ownMembers = strings.Fields("at bytes last") // fields of ours of the same name
)

// find lists what a script or a style uses of the list.
func (list features) find(name, text string) []string {
	found := map[string]bool{}
	look := func(f string) {
		if _, young := list[f]; young {
			found[f] = true
		}
	}
	text = comments.ReplaceAllString(text, "")
	if path.Ext(name) == ".css" {
		findStyle(text, look, found)
	} else {
		text = remarks.ReplaceAllString(text, "")
		for what, p := range syntax {
			if p.MatchString(text) {
				found["syntax "+what] = true
			}
		}
		text = quoted.ReplaceAllString(text, `""`)
		for _, m := range member.FindAllStringSubmatchIndex(text, -1) {
			word := text[m[2]:m[3]]
			if isCall := strings.HasPrefix(text[m[3]:], "("); isCall || !slices.Contains(ownMembers, word) {
				look("member " + word)
			}
		}
		for _, m := range called.FindAllStringSubmatch(text, -1) {
			look("global " + m[1])
		}
	}
	return slices.Sorted(maps.Keys(found))
}

func findStyle(text string, look func(string), found map[string]bool) {
	text = quoted.ReplaceAllString(text, `""`)
	for _, m := range atRule.FindAllStringSubmatch(text, -1) {
		look("at-rule " + m[1])
	}
	if nested.MatchString(text) {
		found["syntax nesting of rules"] = true
	}
	if u := unit.FindString(text); u != "" {
		found["unit "+strings.TrimLeft(u, "0123456789")] = true
	}
	for _, m := range preludes.FindAllStringSubmatch(text, -1) {
		if !strings.HasPrefix(strings.TrimSpace(m[1]), "@") { // a media query that is not understood is false
			for _, s := range pseudo.FindAllStringSubmatch(m[1], -1) {
				look("selector " + s[1])
			}
		}
	}
	for _, m := range declared.FindAllStringSubmatch(bodies(text), -1) {
		look("property " + m[1])
		for _, f := range function.FindAllStringSubmatch(m[2], -1) {
			look("function " + f[1])
		}
		for _, v := range strings.Fields(m[2]) {
			look("value " + m[1] + ":" + strings.Trim(v, ",)"))
		}
	}
}

// bodies are the innermost blocks of a style, where its declarations stand.
func bodies(text string) string {
	var out strings.Builder
	for _, b := range regexp.MustCompile(`\{([^{}]*)\}`).FindAllStringSubmatch(text, -1) {
		out.WriteString(b[1] + ";")
	}
	return out.String()
}

// TestTheBaselineBites gives the test what it must find, and what it must not.
func TestTheBaselineBites(t *testing.T) {
	list := younger(t)
	for _, c := range []struct{ name, text, want string }{
		{"a.css", "a:has(b) { color: red }", "selector has"},
		{"a.css", "p { text-wrap: balance }", "property text-wrap"},
		{"a.css", "@layer a { p { color: red } }", "at-rule layer"},
		{"a.css", "@container (min-width: 3em) { p { color: red } }", "at-rule container"},
		{"a.css", "p { color: color-mix(in srgb, red, blue) }", "function color-mix"},
		{"a.css", "p { height: 100dvh }", "unit dvh"},
		{"a.css", "p { color: red; & b { color: blue } }", "syntax nesting of rules"},
		{"a.css", "dialog::backdrop { color: red }", "selector backdrop"},
		{"a.css", "p { inset: 0; gap: 2px; width: min(3em, 2px) } @media (forced-colors: active) { p { color: red } } /* :has() */", ""},
		{"a.js", "const last = list.at(-1);", "member at"},
		{"a.js", "const id = crypto.randomUUID();", "member randomUUID"},
		{"a.js", "const copy = structuredClone(x);", "global structuredClone"},
		{"a.js", "box.showModal();", "member showModal"},
		{"a.js", "const by = Object.groupBy(all, x => x.id);", "member groupBy"},
		{"a.js", "form.requestSubmit();", "member requestSubmit"},
		{"a.js", "x = t.replace(/(?<=a)b/, '');", "syntax look-behind in a pattern"},
		{"a.js", "x = e.at ?? f?.g; ul.replaceChildren(...some); // .at(", ""},
	} {
		if got := strings.Join(list.find(c.name, c.text), ", "); got != c.want {
			t.Errorf("in %q found %q, want %q", c.text, got, c.want)
		}
	}
}

// elsewhere are families of interfaces that pages of forms have nothing to do with.
var elsewhere = regexp.MustCompile(`^(GPU|WGSL|XR|RTC|ML|WebGL|EXT_|OES_|OVR_|WEBGL|Audio|Media|Video|SVG|HID|USB|Bluetooth|Serial|Payment|Presentation|MIDI|Speech|Sensor|Gamepad|Background|Encoded|Contact|Shared|Atomics|Temporal)`)

// makeYounger writes the list anew.
func makeYounger(t *testing.T) {
	t.Helper()
	data, err := os.ReadFile(*compat)
	must(t, err)
	var all map[string]any
	must(t, json.Unmarshal(data, &all))
	found := map[string][]float64{}
	collect(all, nil, func(at []string, versions []float64) {
		for _, name := range named(at) {
			old, seen := found[name]
			if !seen {
				found[name] = versions
				continue
			}
			for i := range old { // of two features of one name the older counts, since a text does not tell them apart
				found[name][i] = min(old[i], versions[i])
			}
		}
	})
	var lines []string
	for name, versions := range found {
		if of, _, is := strings.Cut(strings.TrimPrefix(name, "value "), ":"); is {
			if young, _ := isYoung(found["property "+of]); young {
				continue // the property is on the list
			}
		}
		if young, any := isYoung(versions); young && any {
			line := name
			for _, v := range versions {
				line += " " + map[bool]string{true: "-", false: strconv.FormatFloat(v, 'g', -1, 64)}[v == never]
			}
			lines = append(lines, line)
		}
	}
	slices.SortFunc(lines, cmp.Compare)
	must(t, os.MkdirAll(path.Dir(youngerFile), fs.ModePerm))
	must(t, os.WriteFile(youngerFile, []byte(strings.Join(lines, "\n")+"\n"), 0o644))
}

// never is the version of a browser that has no such feature.
const never = 1e9

func isYoung(versions []float64) (young, anywhere bool) {
	for i, b := range baseline {
		young = young || versions[i] > b.version
		anywhere = anywhere || versions[i] != never
	}
	return young, anywhere
}

// collect hands over every feature below a node of the data with the first version of each browser.
func collect(node map[string]any, at []string, hand func(at []string, versions []float64)) {
	for key, v := range node {
		below, ok := v.(map[string]any)
		if !ok {
			continue
		}
		if key == "__compat" {
			var versions []float64
			for _, b := range baseline {
				support, _ := below["support"].(map[string]any)
				versions = append(versions, first(support[b.name]))
			}
			hand(at, versions)
			continue
		}
		collect(below, append(slices.Clone(at), key), hand)
	}
}

// first is the earliest version with a feature under its own name and not behind a switch.
func first(support any) float64 {
	some, ok := support.([]any)
	if !ok {
		some = []any{support}
	}
	out := float64(never)
	for _, one := range some {
		s, _ := one.(map[string]any)
		_, flagged := s["flags"]
		_, prefixed := s["prefix"]
		_, renamed := s["alternative_name"]
		_, removed := s["version_removed"]
		added, _ := s["version_added"].(string)
		v, err := strconv.ParseFloat(strings.TrimPrefix(added, "≤"), 64)
		if err == nil && !flagged && !prefixed && !renamed && !removed {
			out = min(out, v)
		}
	}
	return out
}

// named says what a feature is called in a text; nothing if a text does not show it.
func named(at []string) []string {
	last := at[len(at)-1]
	plain := regexp.MustCompile(`^[a-z-]+$`).MatchString(last)
	switch strings.Join(at[:min(2, len(at))], ".") {
	case "css.properties":
		if len(at) == 3 {
			return []string{"property " + last}
		}
		if len(at) == 4 && plain {
			return []string{"value " + at[2] + ":" + last}
		}
	case "css.selectors":
		if len(at) == 3 {
			return []string{"selector " + last}
		}
	case "css.at-rules":
		if len(at) == 3 || at[2] == "page" {
			return []string{"at-rule " + strings.TrimPrefix(last, "at_")}
		}
	case "css.types":
		if plain {
			return []string{"function " + last}
		}
	}
	member := strings.TrimSuffix(strings.TrimSuffix(last, "_static"), "_event")
	script := at[0] == "api" && len(at) <= 3 || len(at) <= 4 && len(at) > 2 && at[0] == "javascript" && at[1] == "builtins"
	if !script || !regexp.MustCompile(`^[A-Za-z]\w*$`).MatchString(member) {
		return nil
	}
	owner := at[len(at)-2]
	switch {
	case elsewhere.MatchString(owner) || elsewhere.MatchString(member):
		return nil
	case owner == "api" || owner == "builtins":
		return []string{"global " + member}
	case owner == "Window" || owner == "WorkerGlobalScope":
		return []string{"member " + member, "global " + member}
	}
	return []string{"member " + member}
}
