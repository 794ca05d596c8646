// Package ask is the one registry of questions: what each is called, what can be said with it, and how it is run. Flags, forms and
// the log of questions asked are drawn from it, so that the same question is the same everywhere.
package ask

import (
	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
)

// Argument is one thing that can be said with a question.
type Argument struct {
	Name    string // "crop"
	Says    string
	Example string
	Many    bool // a list, commas between
	Switch  bool // said or not said
}

// Question is one entry of the registry.
type Question struct {
	Name      string // "compare"
	Head      string // the question in plain words: "Which gave more?"
	Subject   string // what stands first, "" for none: "PRACTICE"
	Arguments []Argument
	Example   string                   // a call, as typed after the program's name
	Counted   bool                     // whether asking it counts as a question asked of the records
	Reads     func(Call) []garden.Kind // the kinds of record that the answer to the call hangs on; its records may be empty still
	Run       func(Call) (Reply, error)
}

// Call is one asking: the words said, the records, and the setting.
type Call struct {
	Subject string
	Said    map[string]string
	Records garden.Records
	Setup   evidence.Setup
}

// Reply is the answer, with the table of plots behind it where there is one.
type Reply struct {
	Finding   finding.Finding
	Plots     evidence.Plots
	Canonical string // "" for what is not counted
}

// All returns the registry in the order of the job.
func All() []Question {
	return []Question{tallyQuestion(), compareQuestion()}
}

// Find returns the question of the name.
func Find(name string) (Question, bool) {
	for _, q := range All() {
		if q.Name == name {
			return q, true
		}
	}
	return Question{}, false
}
