// Package finding is the shape of an answered question: a sentence, its interval, what it rests on and its
// doubts. Whatever prints it prints the same thing. It works nothing out.
package finding

// Verdict is what the interval decides.
type Verdict string

// The verdicts.
const (
	Better       Verdict = "better"
	Worse        Verdict = "worse"
	NoDifference Verdict = "no difference that matters"
	NotYet       Verdict = "cannot tell yet"
	Never        Verdict = "cannot be told"
)

// EstimateKind says what an estimate is.
type EstimateKind string

// The kinds of estimate.
const (
	Ratio      EstimateKind = "ratio"
	Difference EstimateKind = "difference"
	Share      EstimateKind = "share"
	Rate       EstimateKind = "rate"
	Amount     EstimateKind = "amount"
)

// Estimate is one figure with its interval; for ratios and differences it is A over or minus B, B being the reference.
type Estimate struct {
	Of         string       `json:"of"`
	A          string       `json:"a,omitempty"`
	B          string       `json:"b,omitempty"`
	Kind       EstimateKind `json:"kind"`
	Value      float64      `json:"value"`
	Low        *float64     `json:"low,omitempty"`
	High       *float64     `json:"high,omitempty"`
	Confidence float64      `json:"confidence,omitzero"`
	Unit       string       `json:"unit,omitempty"`
	Method     string       `json:"method,omitempty"`
	Verdict    Verdict      `json:"verdict,omitempty"`
}

// Column heads one column of a table.
type Column struct {
	Name string `json:"name"`
	Unit string `json:"unit,omitempty"`
}

// Table is numbers behind a curve, a spread, a budget.
type Table struct {
	Title   string     `json:"title"`
	Columns []Column   `json:"columns"`
	Rows    [][]string `json:"rows"`
}

// Matters is the smallest difference worth acting on, and what these records could detect.
type Matters struct {
	Margin     float64  `json:"margin"`
	Detectable *float64 `json:"detectable,omitempty"` // at 80 % power, as a share like Margin
}

// Left is a number of plantings left out, and why.
type Left struct {
	Reason string `json:"reason"`
	Count  int    `json:"count"`
}

// Rests is what an answer rests on.
type Rests struct {
	Gardens     int    `json:"gardens"`
	Beds        int    `json:"beds"`
	Plantings   int    `json:"plantings"`
	Seasons     int    `json:"seasons"`
	Crops       int    `json:"crops"`
	Unit        string `json:"unit"`        // the experimental unit: "bed", "garden-season"
	Units       int    `json:"units"`       // how many of them
	Informative int    `json:"informative"` // lying where at least two levels occur
	LeftOut     []Left `json:"left_out,omitempty"`
}

// Code names a doubt.
type Code string

// Doubt is one reason to be careful: its code, a sentence, and the number that set it off, if one did.
type Doubt struct {
	Code   Code     `json:"code"`
	Says   string   `json:"says"`
	Number *float64 `json:"number,omitempty"`
}

// Settles is the smallest trial on the grower's own beds that would answer the question.
type Settles struct {
	Says    string  `json:"says"`
	Design  string  `json:"design,omitempty"`
	Plots   int     `json:"plots,omitzero"`
	Seasons int     `json:"seasons,omitzero"`
	Power   float64 `json:"power,omitzero"`
}

// Component is one variance of the model.
type Component struct {
	Name       string  `json:"name"`
	Variance   float64 `json:"variance"`
	OnBoundary bool    `json:"on_boundary,omitempty"`
}

// Model is how the figures were worked out, enough to repeat them.
type Model struct {
	Formula    string      `json:"formula"`
	Components []Component `json:"components,omitempty"`
	DF         float64     `json:"df,omitzero"`
	Criterion  *float64    `json:"criterion,omitempty"`
	Method     string      `json:"method"`
	Analyse    string      `json:"analyse"` // the call that gives the same digits from the table written by --table
}

// Scope is what an answer speaks for.
type Scope string

// The scopes.
const (
	TheseSeasons Scope = "these gardens and seasons"
	SuchSeasons  Scope = "seasons like these"
	SuchGardens  Scope = "gardens like these"
)

// Finding is one answered question.
type Finding struct {
	Question    string     `json:"question"`
	Answer      string     `json:"answer"`
	Verdict     Verdict    `json:"verdict,omitempty"`
	Estimates   []Estimate `json:"estimates,omitempty"`
	Tables      []Table    `json:"tables,omitempty"`
	Matters     *Matters   `json:"matters,omitempty"`
	SpeaksFor   Scope      `json:"speaks_for,omitempty"`
	RestsOn     *Rests     `json:"rests_on,omitempty"`
	Doubts      []Doubt    `json:"doubts,omitempty"`
	WouldSettle *Settles   `json:"would_settle,omitempty"`
	Model       *Model     `json:"model,omitempty"`
	Asked       int        `json:"asked,omitzero"`
}
