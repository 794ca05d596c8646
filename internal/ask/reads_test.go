package ask_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/ask"
	"fairplot/internal/demo"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// only keeps the records of the kinds.
func only(r garden.Records, kinds []garden.Kind) garden.Records {
	var out garden.Records
	for _, k := range kinds {
		for _, rec := range r.List(k) {
			out.Put(rec)
		}
	}
	return out
}

// TestAnswersHangOnWhatTheyRead: with the kinds that a question says it reads the answer is the one that all records give, for every practice and the
// responses that need more.
func TestAnswersHangOnWhatTheyRead(t *testing.T) {
	plan := demo.Book()
	plan.Seasons, plan.Ways = 2, plan.Ways[:2]
	r := demo.Make(demo.Seed, plan, demo.Usual())
	said := []map[string]string{{}}
	for _, response := range []string{evidence.PerHour, evidence.Hours, evidence.PerPlant, evidence.FirstHarvest} {
		said = append(said, map[string]string{"response": response})
	}
	said = append(said, map[string]string{"whole-year": "true"}, map[string]string{"adjust": "rain"}, map[string]string{"adjust": "work"}, map[string]string{"adjust": "water"})
	for _, s := range said {
		same(t, r, "compare", "cultivation", s)
	}
	for _, n := range evidence.Practices() {
		if n != practice.Cultivation {
			same(t, r, "compare", strings.ReplaceAll(string(n), " ", "-"), nil)
		}
	}
	same(t, r, "tally", "", map[string]string{"season": "2024"})
}

func same(t *testing.T, r garden.Records, name, subject string, said map[string]string) {
	t.Helper()
	q, _ := ask.Find(name)
	c := call(subject, said)
	kinds := q.Reads(c)
	var answers []ask.Reply
	var errs []error
	for _, records := range []garden.Records{r, only(r, kinds)} {
		c.Records, c.Setup = records, ask.Setup(records, c.Setup.Today)
		reply, err := q.Run(c)
		answers, errs = append(answers, reply), append(errs, err)
	}
	if !reflect.DeepEqual(answers[0], answers[1]) || (errs[0] == nil) != (errs[1] == nil) {
		t.Errorf("%s %s %v: another answer from %v alone\n%s %v\n%s %v", name, subject, said, kinds, answers[0].Finding.Answer, errs[0], answers[1].Finding.Answer, errs[1])
	}
	if slices.Contains(kinds, garden.KindWeather) != (subject == string(practice.Rain) || said["adjust"] == "rain") {
		t.Errorf("%s %s %v reads %v", name, subject, said, kinds)
	}
}
